import type { Standing } from '../decide/standing.js';
import { Decomposition, dot } from '../fit/decomposition.js';
import { normalQuantile } from '../fit/distributions.js';
import { initialSd } from '../fit/problem.js';
import type { Machine } from '../machine/machine.js';
import { addKnife, type Combination, type Layout } from '../model/layout.js';
import { bedTilt, offset } from '../model/quantities.js';
import type { Result, Verdict } from '../record/result.js';
import type { Design, Foretelling } from './foretell.js';
import { wantedU } from './plan-fresh.js';

/** A knife's end or the bed's tilt that an earlier result leaves unknown or undecided. */
export interface OpenQuantity {
  /** `knife 2 back`, `bed tilt`. */
  readonly name: string;
  /** The widest U, mm, with which it counts as settled. */
  readonly wanted: number;
  /** U of it; null where it would still not be known. */
  readonly U: (standing: Standing) => number | null;
  readonly combination: (layout: Layout) => Combination;
}

/** A verdict is likely once U is this many times the way to the limit. */
const LIKELY = 1.1;
/** A quantity nearer to its limit than this share of the tolerance is not worth chasing. */
const NEAREST = 1 / 12;
/** How far knives' ends and tilt may stand before anything is known, mm; common practice, no source. */
const ENDS_SD = 0.3;
const TILT_SD = 0.5;
/** Coverage of 95 % where the noise is known. */
const COVERAGE = normalQuantile(0.975);

/** Everything that an earlier result leaves open. */
export function openQuantities(machine: Machine, result: Result): OpenQuantity[] {
  const wanted = wantedU(machine);
  const all = machine.block.knives.map((_, index) => index);
  const { tolerance } = machine;
  const isJoint =
    result.verdicts.together === 'undecided' &&
    result.bed.verdict === 'inside' &&
    result.knives.every(({ ends }) => ends.every(({ verdict }) => verdict === 'inside'));
  const someUnknown = result.knives.some(({ ends }) => ends.some(({ offset }) => offset === null));
  const needed = (value: number | null, verdict: Verdict, limit: number, least: number) => {
    if (value === null) return least;
    // The others are told against the mean of those that are known, and that will change.
    if (someUnknown) return null;
    // Each by itself is inside, and all together are not: then all have to be known better.
    if (isJoint) return NEAREST * limit * 2;
    if (verdict !== 'undecided') return null;
    return Math.max(LIKELY * Math.abs(limit - Math.abs(value)), NEAREST * limit);
  };
  const ends = result.knives.flatMap(({ id, ends: both }, knife) =>
    both.flatMap(({ name, x, offset: value, verdict }, end): OpenQuantity[] => {
      const goal = needed(value, verdict, tolerance.knife, wanted.end);
      if (goal === null) return [];
      return [
        {
          name: `knife ${id} ${name}`,
          wanted: goal,
          U: ({ offsets }) => offsets[knife]?.[end as 0 | 1]?.U ?? null,
          combination: (layout) => offset(layout, all, knife, x),
        },
      ];
    }),
  );
  const goal = needed(result.bed.tilt, result.bed.verdict, tolerance.bed, wanted.bed);
  if (goal === null || all.length < 2) return ends;
  const tilt: OpenQuantity = {
    name: 'bed tilt',
    wanted: goal,
    U: (standing) => standing.tilt?.U ?? null,
    combination: (layout) => bedTilt(layout, all),
  };
  return [...ends, tilt];
}

/** What boards would still leave open. */
export function stillOpen(
  open: readonly OpenQuantity[],
  { standing }: Foretelling,
): readonly OpenQuantity[] {
  return open.filter((each) => {
    const U = each.U(standing);
    return U === null || U > each.wanted;
  });
}

/** How much is left open, for comparing boards. */
export interface Openness {
  readonly now: number;
  /** With the place of that index read once more. */
  readonly withOneMore: (index: number) => number;
}

/**
 * How much places leave open: the sum over open quantities of how many times too wide their U is, in
 * logarithms. What is not determined counts by what is likely of any machine, so that a first strip of
 * two that are needed is worth something too. One more reading j takes (g·C·j)²/(σ² + j·C·j) off the
 * variance of g, so readings of places that are there are judged without fitting anew.
 */
export function opennessOf(
  open: readonly OpenQuantity[],
  { model, problem, noises, parameters, rows }: Design,
): Openness {
  const { layout } = model;
  const fit = Decomposition.of([...rows, ...weakRows(layout)], layout.size);
  const factors = open.map(({ combination }) => fit.factor(combination(layout)));
  const sum = (variances: readonly number[]) =>
    open.reduce((total, { wanted }, q) => {
      // Beyond what is wanted, narrower still is worth a little: it tells equals apart.
      const times = (COVERAGE * Math.sqrt(variances[q]!)) / wanted;
      return total + (times > 1 ? Math.log(times) : 0) + 0.05 * Math.log(times);
    }, 0);
  const now = factors.map((factor) => dot(factor, factor));
  const sd = initialSd(noises[0]!);
  return {
    now: sum(now),
    withOneMore: (index) => {
      const own = fit.factor(problem.gradient(parameters, index));
      const total = sd ** 2 + dot(own, own);
      return sum(now.map((variance, q) => variance - dot(factors[q]!, own) ** 2 / total));
    },
  };
}

/** What is likely of any machine. */
function weakRows(layout: Layout): Float64Array[] {
  const ends = layout.knives.flatMap((_, knife) =>
    [layout.span.front, layout.span.back].map((x) => {
      const row = new Float64Array(layout.size);
      addKnife(layout, row, knife, x, 1 / ENDS_SD);
      return row;
    }),
  );
  const tilt = new Float64Array(layout.size);
  tilt[layout.at.tilt] = 1 / TILT_SD;
  return [...ends, tilt];
}
