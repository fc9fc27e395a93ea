/**
 * Boards cut and measured exactly as a plan says, on machines that are drawn: what the plan foretold
 * against what the readings then give. The places are read from the plan as its documentation has
 * them, not by the program's own expansion.
 */
import { type Caliper, USUAL_CALIPER } from './caliper.js';
import type { Place } from './designs.js';
import { gaugeEdges, gaugeText, USUAL_INDICATOR } from './indicator.js';
import { type Random, seeded } from './random.js';
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
    readonly setting?: string;
  }[];
  readonly readings: number;
  readonly expected: ExpectedLike;
  /** The gauge in place of scoops. */
  readonly instead?: readonly {
    readonly x: readonly number[];
    readonly times: number;
    readonly expected: ExpectedLike;
  }[];
}

interface ExpectedLike {
  readonly knifeEndU: number | null;
  readonly bedTiltU: number | null;
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
export function placesAsPlanned(plan: Pick<PlanLike, 'boards'>): Place[] {
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

/** Boards cut and measured as planned, written down with the setting that the plan asks for. */
export function boardsAsPlanned(
  plan: Pick<PlanLike, 'boards'>,
  shop: Shop,
  random: Random,
): { csv: string; readings: number } {
  const caliper = { ...USUAL_CALIPER, ...CLEAN };
  const { rows } = measure(shop, placesAsPlanned(plan), random, { caliper });
  const settings = new Map(plan.boards.map(({ board, setting }) => [board, setting ?? '']));
  const lines = rows.map(({ board, knife, x, y, thickness }) =>
    [board, knife, x, y, thickness, settings.get(board)].join(','),
  );
  const csv = `${['board,knife,x,y,thickness,setting', ...lines].join('\n')}\n`;
  return { csv, readings: rows.length };
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
  const { csv, readings } = boardsAsPlanned(planned, shop, random);
  return { seed, readings, ...pairs(planned.expected, await analyse(machine, csv)) };
}

/** One machine drawn, whose block no hand turns: boards under power, and a gauge on the knives. */
export async function runGauged(
  plan: (machineToml: string) => Promise<PlanLike>,
  analyse: (machineToml: string, csv: string, gauge: string) => Promise<ResultLike>,
  seed: number,
  knives: number,
): Promise<PlannedJob> {
  const random = seeded(seed);
  const shop = drawShop(random, knives);
  const machine = machineText(shop);
  const planned = await plan(machine);
  const [{ x, times, expected }] = planned.instead as [Required<PlanLike>['instead'][number]];
  const underPower = planned.boards.filter(({ cut }) => cut === 'full');
  const { csv, readings } = boardsAsPlanned({ boards: underPower }, shop, random);
  // Its noise is that of a careful hand, and its divisions add nothing to speak of.
  const indicator = {
    ...USUAL_INDICATOR,
    resolution: 0.001,
    missSd: 0.1,
    zeros: 'each x',
    repeats: times,
  } as const;
  const gauge = gaugeText(gaugeEdges(shop, x, indicator, random));
  return { seed, readings, ...pairs(expected, await analyse(machine, csv, gauge)) };
}

/** The widest of the ends, and the tilt, as foretold and as found. */
export function pairs(
  expected: ExpectedLike,
  result: ResultLike,
): Pick<PlannedJob, 'ends' | 'tilt'> {
  const widest = Math.max(
    ...result.knives.flatMap(({ ends }) => ends.map(({ U }) => U ?? Number.NaN)),
  );
  return {
    ends: { foretold: expected.knifeEndU ?? Number.NaN, found: widest },
    tilt: { foretold: expected.bedTiltU ?? Number.NaN, found: result.bed.U ?? Number.NaN },
  };
}
