import { readFileSync } from 'node:fs';
import { seeded } from '../workshop/random.js';
import { drawShop, type Shop } from '../workshop/shop.js';
import { measure } from '../workshop/simulate.js';
import { MACHINE, proofboard } from './program.js';

/** A plan of 32 places, on four strips cut by hand. */
export const SMALL = ['--stations', '4', '--repeats', '2', '--cuts', 'hand'];
export const PLACES = 32;

/** The rows of a sheet below its header: board, knife, cut, x, y, thickness, note. */
export function rowsOf(file: string): string[][] {
  const lines = readFileSync(file, 'utf8').split('\n');
  const rows = lines.filter((line) => line !== '' && !line.startsWith('#')).slice(1);
  return rows.map((line) => line.split(','));
}

/** The thicknesses that a sheet holds, as they stand there. */
export function thicknessesOf(file: string): string[] {
  return rowsOf(file).map((row) => row[5]!);
}

/** Cuts and measures the places of a sheet on an invented machine. */
export function measuredFor(file: string, seed: number): { shop: Shop; readings: string[] } {
  const random = seeded(seed);
  const shop = drawShop(random, 4);
  const places = rowsOf(file).map(([board, knife, , x, y]) => {
    return { board: board!, knife: knife!, x: Number(x), y: Number(y) };
  });
  const { rows } = measure(shop, places, random, { caliper: { misreadRate: 0 } });
  return { shop, readings: rows.map(({ thickness }) => thickness) };
}

/** Begins a sheet without entering anything. */
export function begun(out: string, plan: readonly string[] = SMALL): void {
  const run = proofboard(['enter', MACHINE, '--out', out, ...plan]);
  if (run.code !== 3) throw new Error(run.stderr);
}
