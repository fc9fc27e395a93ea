import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect } from 'vitest';
import type { Place } from '../../src/sheet/places.js';
import { jsonOf, MACHINE, proofboard, root, temporaryFolder, written } from '../cli/program.js';
import { demoShop } from '../workshop/demo-shop.js';
import { seeded } from '../workshop/random.js';
import { measure } from '../workshop/simulate.js';

/** A sheet that the built program wrote. */
export interface WrittenSheet {
  readonly folder: string;
  /** The page. */
  readonly path: string;
  readonly machine: string;
  readonly places: readonly Place[];
}

/** The least plan that leaves nothing open: 4 strips, 2 rounds of 4 knives. */
export const SMALL = ['--cuts', 'hand', '--stations', '4', '--repeats', '2'];

/** Has the program write a sheet for the demonstration machine, or for another one. */
export function writtenSheet(options: readonly string[], machine = MACHINE): WrittenSheet {
  const folder = temporaryFolder();
  const path = join(folder, 'sheet.html');
  const run = proofboard(['sheet', machine, ...options, '--out', path, '--json']);
  expect(run.code).toBe(0);
  return { folder, path, machine, places: jsonOf(run).places };
}

/** What a caliper shows at each place on boards that the demonstration's shop has cut. */
export function simulatedReadings(places: readonly Place[], seed = 1): string[] {
  const options = { caliper: { misreadRate: 0 } };
  return measure(demoShop(), places, seeded(seed), options).rows.map(({ thickness }) => thickness);
}

/** What the built program makes of a saved sheet. */
export function analysed(sheet: WrittenSheet, csv: string) {
  const [file] = written(sheet.folder, { 'saved.csv': csv });
  const run = proofboard(['analyse', sheet.machine, file!, '--json']);
  return { ...run, result: jsonOf(run) };
}

/** A machine file of ours with other names. */
export function machineNamed(name: string, knives: readonly string[]): string {
  const text = readFileSync(join(root, MACHINE), 'utf8')
    .replace(/^name = .*$/m, `name = ${JSON.stringify(name)}`)
    .replace(/^knives = .*$/m, `knives = ${JSON.stringify(knives)}`);
  return written(temporaryFolder(), { 'machine.toml': text })[0]!;
}
