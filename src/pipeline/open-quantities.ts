import type { Standing } from '../decide/standing.js';
import { Decomposition, dot } from '../fit/decomposition.js';
import { initialSd, whitenedRows } from '../fit/problem.js';
import type { Machine } from '../machine/machine.js';
import { addKnife, type Combination } from '../model/layout.js';
import { bedTilt, offset } from '../model/quantities.js';
import type { Result, Verdict } from '../record/result.js';
import type { Foretelling } from './foretell.js';
import { wantedU } from './plan-fresh.js';

/** A knife's end or the bed's tilt that an earlier result leaves unknown or undecided. */
export interface OpenQuantity {
  /** `knife 2 back`, `bed tilt`. */
  readonly name: string;
  /** The widest U, mm, with which it counts as settled. */
  readonly wanted: number;
  /** U of it; null where it would still not be known. */
  readonly U: (standing: Standing) => number | null;
  readonly combination: (foretelling: Foretelling) => Combination;
}

/** A verdict is likely once U is this many times the way to the limit. */
const LIKELY = 1.1;
/** A quantity nearer to its limit than this share of the tolerance is not worth chasing. */
const NEAREST = 1 / 12;
/** How far knives' ends and tilt may stand before anything is known, mm; common practice, no source. */
const ENDS_SD = 0.3;
const TILT_SD = 0.5;
/** Coverage of 95 % where the noise is known. */
const COVERAGE = 1.96;

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
          combination: ({ boards }) => offset(boards.model.layout, all, knife, x),
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
    combination: ({ boards }) => bedTilt(boards.model.layout, all),
  };
  return [...ends, tilt];
}

/** Whether boards would settle all that is open. */
export function settles(open: readonly OpenQuantity[], { standing }: Foretelling): boolean {
  return open.every((each) => {
    const U = each.U(standing);
    return U !== null && U <= each.wanted;
  });
}

/**
 * How much is left open, for comparing boards: the sum over open quantities of how many times too wide
 * their U is, in logarithms. What is not determined counts by what is likely of any machine, so that a
 * first strip of two that are needed is worth something too.
 */
export function openness(open: readonly OpenQuantity[], foretelling: Foretelling): number {
  const { model, problem, robust, noises } = foretelling.boards;
  const { layout } = model;
  const { kept, parameters } = robust.fit;
  const rows = whitenedRows(problem, kept, noises.map(initialSd)).design(parameters);
  const weak: Float64Array[] = layout.knives.flatMap((_, knife) =>
    [layout.span.front, layout.span.back].map((x) => {
      const row = new Float64Array(layout.size);
      addKnife(layout, row, knife, x, 1 / ENDS_SD);
      return row;
    }),
  );
  const tilt = new Float64Array(layout.size);
  tilt[layout.at.tilt] = 1 / TILT_SD;
  const fit = Decomposition.of([...rows, ...weak, tilt], layout.size);
  return open.reduce((sum, { wanted, combination }) => {
    const factor = fit.factor(combination(foretelling));
    const U = COVERAGE * Math.sqrt(dot(factor, factor));
    // Beyond what is wanted, narrower still is worth a little: it tells equals apart.
    const times = U / wanted;
    return sum + (times > 1 ? Math.log(times) : 0) + 0.05 * Math.log(times);
  }, 0);
}
