/**
 * Boards cut and measured exactly as a plan says, on machines that are drawn: what the plan foretold
 * against what the readings then give. The places are read from the plan as its documentation has
 * them, not by the program's own expansion.
 */
import { type Caliper, USUAL_CALIPER } from './caliper.js';
import type { Place } from './designs.js';
import { seeded } from './random.js';
import { drawShop, type Shop } from './shop.js';
import { measure } from './simulate.js';
import { machineText } from './texts.js';

/** What the loop reads of a plan. */
export interface PlanLike {
  readonly boards: readonly {
    readonly board: string;
    readonly cut: string;
    readonly knives: readonly string[];
    readonly x: readonly number[];
    readonly y: readonly number[];
    readonly spacing: number | null;
  }[];
  readonly readings: number;
  readonly expected: { readonly knifeEndU: number | null; readonly bedTiltU: number | null };
}

interface ResultLike {
  readonly knives: readonly { readonly ends: readonly { readonly U: number | null }[] }[];
  readonly bed: { readonly U: number | null };
}

/** What was foretold, and what was found. */
export interface Pair {
  readonly foretold: number;
  readonly found: number;
}

export interface PlannedJob {
  readonly seed: number;
  readonly readings: number;
  readonly ends: Pair;
  readonly tilt: Pair;
}

/** Readings that scatter as the instrument's figures say, and nothing else is wrong. */
export const CLEAN: Partial<Caliper> = {
  misreadRate: 0,
  noisePerTry: false,
  offBottomSd: 0.2,
  noiseSd: 0.01,
};

/** Every place of a plan in the order in which it is measured. */
export function placesAsPlanned(plan: PlanLike): Place[] {
  const places: Place[] = [];
  for (const { board, knives, x, y, spacing } of plan.boards) {
    y.forEach((start, round) => {
      const cutting = round % 2 === 1 ? [...knives].reverse() : knives;
      cutting.forEach((knife, i) => {
        for (const at of x) places.push({ board, knife, x: at, y: start + i * (spacing ?? 0) });
      });
    });
  }
  return places;
}

/** One machine drawn, planned for, cut, measured and analysed. */
export async function runPlanned(
  plan: (machineToml: string) => Promise<PlanLike>,
  analyse: (machineToml: string, csv: string) => Promise<ResultLike>,
  seed: number,
  knives: number,
  alter: (shop: Shop) => Shop = (shop) => shop,
): Promise<PlannedJob> {
  const random = seeded(seed);
  const shop = alter(drawShop(random, knives));
  const machine = machineText(shop);
  const planned = await plan(machine);
  const { csv, rows } = measure(shop, placesAsPlanned(planned), random, {
    caliper: { ...USUAL_CALIPER, ...CLEAN },
  });
  const result = await analyse(machine, csv);
  const widest = Math.max(
    ...result.knives.flatMap(({ ends }) => ends.map(({ U }) => U ?? Number.NaN)),
  );
  return {
    seed,
    readings: rows.length,
    ends: { foretold: planned.expected.knifeEndU ?? Number.NaN, found: widest },
    tilt: { foretold: planned.expected.bedTiltU ?? Number.NaN, found: result.bed.U ?? Number.NaN },
  };
}
