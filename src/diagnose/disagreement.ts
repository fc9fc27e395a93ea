import type { Reading } from '../boards/reading.js';
import { chiSquareCdf } from '../fit/distributions.js';
import { solveLinear } from '../fit/least-squares.js';
import type { FitProblem } from '../fit/problem.js';
import type { Layout } from '../model/layout.js';

/** More misreads on a board than this share of its readings, and more than one, is no accident. */
const MOST_MISREADS = 1 / 5;
/** Scatter beyond this many times what the instrument is good for is not the instrument's. */
const MOST_SCATTER = 3;
/** Beyond this many times it is not either, if which knife cut what explains nothing of it. */
const DOUBTFUL_SCATTER = 2;
const EXPLAINS_NOTHING = 0.01;

/** Why the boards and their description cannot both be right. */
export type Disagreement =
  | {
      readonly kind: 'misreads';
      readonly board: string;
      readonly misreads: number;
      readonly readings: number;
    }
  | { readonly kind: 'scatter'; readonly scatter: number; readonly expected: number };

/** What is asked about: readings, which of them are misreads, and how the rest scatters. */
export interface Suspicion {
  readonly readings: readonly Reading[];
  /** Indices of readings set aside as misreads. */
  readonly misreads: readonly number[];
  /** mm; null when nothing is left to scatter. */
  readonly residualSd: number | null;
  /** What the instrument's figures let expect of one reading, mm. */
  readonly readingSd: number;
  /** How likely chance alone explains as much as the knife labels do. */
  readonly labelsByChance: () => number;
}

/**
 * Whether boards and description disagree: more than a fifth of a board's readings are misreads, or
 * readings of one knife at one place scatter as no instrument does. Knives labelled at random,
 * boards mixed up and a wrong machine file look like this.
 */
export function disagreementOf({
  readings,
  misreads,
  residualSd,
  readingSd,
  labelsByChance,
}: Suspicion): Disagreement | null {
  const total = countBy(readings.map(({ board }) => board));
  const wrong = countBy(misreads.map((index) => readings[index]!.board));
  for (const [board, count] of wrong) {
    const all = total.get(board)!;
    if (count > 1 && count > MOST_MISREADS * all) {
      return { kind: 'misreads', board, misreads: count, readings: all };
    }
  }
  const scatter = residualSd ?? 0;
  const isWild =
    scatter > MOST_SCATTER * readingSd ||
    (scatter > DOUBTFUL_SCATTER * readingSd && labelsByChance() > EXPLAINS_NOTHING);
  return isWild ? { kind: 'scatter', scatter, expected: readingSd } : null;
}

/**
 * How likely chance alone would explain as much of the readings of single knives as it does to know
 * which knife cut them: F test of all knives equal, with its large-sample χ² distribution.
 */
export function labelsByChance(
  problem: FitProblem,
  layout: Layout,
  readings: readonly Reading[],
  kept: readonly number[],
): number {
  const alone = kept.filter((index) => index < readings.length && readings[index]!.cut !== 'full');
  if (alone.length === 0) return 0;
  const rest = new Float64Array(problem.columns);
  const rows = alone.map((index) => Array.from(problem.gradient(rest, index)));
  const observed = alone.map((index) => problem.observed[index]!);
  const withKnives = solveLinear(rows, observed);
  const { height, node } = layout.at;
  const without = solveLinear(
    rows.map((row) => row.filter((_, column) => column < height || column >= node)),
    observed,
  );
  const explained = withKnives.rank - without.rank;
  const freedom = alone.length - withKnives.rank;
  if (explained < 1 || freedom < 1) return 0;
  const gained = without.residualSumOfSquares - withKnives.residualSumOfSquares;
  const variance = withKnives.residualSumOfSquares / freedom;
  return 1 - chiSquareCdf(gained / variance, explained);
}

function countBy(keys: readonly string[]): Map<string, number> {
  const counts = new Map<string, number>();
  for (const key of keys) counts.set(key, (counts.get(key) ?? 0) + 1);
  return counts;
}
