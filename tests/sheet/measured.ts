import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { Machine } from '../../src/machine/machine.js';
import { readMachine } from '../../src/machine/read-machine.js';
import type { Place } from '../../src/sheet/places.js';
import { fullBoards, narrowStrips, wideBoard } from '../workshop/designs.js';
import { seeded } from '../workshop/random.js';
import { drawShop, type Shop, type Spread, USUAL_SPREAD } from '../workshop/shop.js';
import { measure } from '../workshop/simulate.js';

/** A machine of the fixtures. */
export async function machineOf(name: string): Promise<Machine> {
  const path = fileURLToPath(new URL(`../../fixtures/${name}`, import.meta.url));
  const { machine } = await readMachine({ name, content: readFileSync(path) });
  return machine!;
}

/** Places of a simulated shop and what was read there, without a misread. */
export interface Measured {
  readonly shop: Shop;
  readonly places: readonly Place[];
  /** mm, as a caliper shows them. */
  readonly readings: readonly number[];
}

export type Design = 'strips' | 'wide board';

/** Boards cut by hand, then a full one, on a machine drawn by chance. */
export function measured(seed: number, design: Design, spread: Spread = USUAL_SPREAD): Measured {
  const random = seeded(seed);
  const shop = drawShop(random, 4, spread);
  const byHand = design === 'strips' ? narrowStrips(shop) : wideBoard(shop);
  const wanted = [...byHand, ...fullBoards(shop, [120, 250, 400])];
  const { rows } = measure(shop, wanted, random, { caliper: { misreadRate: 0 } });
  return {
    shop,
    places: rows.map(({ board, knife, x, y }) => {
      return { board, knife, x, y, cut: knife === 'all' ? 'full' : 'hand' };
    }),
    readings: rows.map(({ thickness }) => Number(thickness)),
  };
}
