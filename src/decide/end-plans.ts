import type { Lift } from './lifts.js';

/** The knives at one outer adjuster, and what may be done there. */
export interface EndProblem {
  /** Offsets from the mean, one a knife, mm. */
  readonly offsets: readonly number[];
  /** What each knife's adjuster allows, ascending. */
  readonly lifts: readonly (readonly Lift[])[];
  /** Whether a knife may stay as it is. */
  readonly mayStay: readonly boolean[];
  /** The height that every knife has to come to; null where the knives choose their own line. */
  readonly line: number | null;
  /** How far from the line, or from their mean, knives may end up, mm. */
  readonly within: number;
  /** How far the knives' mean may be moved on purpose, mm: to bring them parallel to the bed. */
  readonly meanShift: number;
  /** Whether every combination is tried, or each knife only takes the lift nearest to a level. */
  readonly thorough: boolean;
}

/** What to do at one end: a lift, or null to leave it, for each knife. */
export interface EndPlan {
  readonly lifts: readonly (Lift | null)[];
  readonly count: number;
  /** Where each knife then stands from the mean of all, mm. */
  readonly residuals: readonly number[];
  /** The largest of these in size. */
  readonly worst: number;
  /** How much the mean of the knives rises, mm. */
  readonly meanLift: number;
}

/** Up to so many moving knives every combination of the two nearest lifts is tried. */
const TRY_BOTH_SIDES = 6;
/** Where lifts are finer than this many in the window, the nearest one is near enough. */
const FINE = 8;
const MOST_LEVELS = 300;
const FEWER_LEVELS = 40;
/** Plans kept for each number of moves, best first. */
const KEPT = 60;

/**
 * Plans for one end, the best of each number of moves first. Which knives stay is tried in every
 * way up to six knives (of more, those that stay lie next to each other in height); the others come
 * to a common level, each by the lift just above or just below.
 */
export function endPlans(problem: EndProblem): EndPlan[][] {
  const plans: EndPlan[] = [];
  const met = new Set<string>();
  const consider = (lifts: readonly (Lift | null)[]) => {
    const key = lifts.map((lift) => lift?.lift ?? 0).join();
    if (met.has(key)) return;
    met.add(key);
    const plan = planOf(problem.offsets, lifts);
    if (plan.worst <= problem.within && isNearLine(problem, lifts)) plans.push(plan);
  };
  for (const moving of movingSets(problem)) {
    for (const level of levelsFor(problem, moving)) {
      for (const lifts of liftsTo(problem, moving, level)) consider(lifts);
    }
  }
  return byCount(problem, plans);
}

/** The plan's figures for chosen lifts. */
export function planOf(offsets: readonly number[], lifts: readonly (Lift | null)[]): EndPlan {
  const heights = offsets.map((height, knife) => height + (lifts[knife]?.lift ?? 0));
  const mean = heights.reduce((sum, height) => sum + height, 0) / heights.length;
  const before = offsets.reduce((sum, height) => sum + height, 0) / offsets.length;
  const residuals = heights.map((height) => height - mean);
  return {
    lifts,
    count: lifts.filter((lift) => lift !== null).length,
    residuals,
    worst: Math.max(...residuals.map(Math.abs)),
    meanLift: mean - before,
  };
}

function isNearLine(
  { line, offsets, within }: EndProblem,
  lifts: readonly (Lift | null)[],
): boolean {
  if (line === null) return true;
  return offsets.every(
    (height, knife) => Math.abs(height + (lifts[knife]?.lift ?? 0) - line) <= within,
  );
}

/** Sets of knives that move: the others stay, so they must be allowed to and lie close enough. */
function* movingSets({ offsets, mayStay, within }: EndProblem): Iterable<readonly boolean[]> {
  const count = offsets.length;
  const isPossible = (moving: readonly boolean[]) => {
    const staying = offsets.filter((_, knife) => !moving[knife]);
    const spread = Math.max(...staying) - Math.min(...staying);
    return moving.every((moves, knife) => moves || mayStay[knife]) && !(spread > 2 * within);
  };
  if (count <= TRY_BOTH_SIDES) {
    for (let bits = 0; bits < 2 ** count; bits++) {
      const moving = offsets.map((_, knife) => ((bits >> knife) & 1) === 1);
      if (isPossible(moving)) yield moving;
    }
    return;
  }
  const order = offsets.map((_, knife) => knife).sort((a, b) => offsets[a]! - offsets[b]!);
  yield offsets.map(() => true);
  for (let from = 0; from < count; from++) {
    for (let to = from; to < count; to++) {
      const staying = new Set(order.slice(from, to + 1));
      const moving = offsets.map((_, knife) => !staying.has(knife) || !mayStay[knife]);
      if (isPossible(moving)) yield moving;
    }
  }
}

/** Levels at which the choice of lifts can change: reachable heights and the middles between them. */
function levelsFor(problem: EndProblem, moving: readonly boolean[]): number[] {
  const { offsets, lifts, line, within, meanShift } = problem;
  if (line !== null) return [line];
  const staying = offsets.filter((_, knife) => !moving[knife]);
  const middle = offsets.reduce((sum, height) => sum + height, 0) / offsets.length;
  const [low, high] =
    staying.length > 0
      ? [Math.max(...staying) - within, Math.min(...staying) + within]
      : [middle - meanShift, middle + meanShift];
  const heights = staying.filter((height) => height >= low && height <= high);
  offsets.forEach((height, knife) => {
    if (!moving[knife]) return;
    for (const { lift } of lifts[knife]!) {
      if (height + lift >= low && height + lift <= high) heights.push(height + lift);
    }
  });
  heights.push(low, (low + high) / 2, high);
  heights.sort((a, b) => a - b);
  const levels = heights.flatMap((height, i) =>
    i === 0 ? [height] : [(heights[i - 1]! + height) / 2, height],
  );
  const most = problem.thorough ? MOST_LEVELS : FEWER_LEVELS;
  if (levels.length <= most) return levels;
  const stride = levels.length / most;
  return Array.from({ length: most }, (_, i) => levels[Math.floor(i * stride)]!);
}

/** Every way to bring the moving knives to a level by the lift just below it or just above. */
function* liftsTo(
  { offsets, lifts, within, thorough }: EndProblem,
  moving: readonly boolean[],
  level: number,
): Iterable<(Lift | null)[]> {
  const choices: (Lift | null)[][] = [];
  const both = thorough && offsets.length <= TRY_BOTH_SIDES;
  for (let knife = 0; knife < offsets.length; knife++) {
    if (!moving[knife]) {
      choices.push([null]);
      continue;
    }
    const near = nearest(lifts[knife]!, level - offsets[knife]!, within, both);
    if (near.length === 0) return;
    choices.push(near);
  }
  const picked = choices.map(() => 0);
  for (;;) {
    yield choices.map((options, knife) => options[picked[knife]!]!);
    let knife = 0;
    while (knife < choices.length && ++picked[knife]! === choices[knife]!.length) {
      picked[knife++] = 0;
    }
    if (knife === choices.length) return;
  }
}

/** The lifts next to a wanted one, nearest first. */
function nearest(lifts: readonly Lift[], wanted: number, within: number, both: boolean): Lift[] {
  let above = 0;
  let end = lifts.length;
  while (above < end) {
    const middle = (above + end) >> 1;
    if (lifts[middle]!.lift < wanted) above = middle + 1;
    else end = middle;
  }
  const found = [lifts[above - 1], lifts[above]].filter((lift) => lift !== undefined);
  found.sort((a, b) => Math.abs(a.lift - wanted) - Math.abs(b.lift - wanted));
  const isFine =
    found.length === 2 && Math.abs(found[1]!.lift - found[0]!.lift) < (2 * within) / FINE;
  return both && !isFine ? found : found.slice(0, 1);
}

/** Plans by number of moves; where the mean's shift matters, the best of each shift is kept. */
function byCount({ offsets, meanShift }: EndProblem, plans: EndPlan[]): EndPlan[][] {
  plans.sort((a, b) => a.worst - b.worst || Math.abs(a.meanLift) - Math.abs(b.meanLift));
  const counts: EndPlan[][] = offsets.map(() => []);
  counts.push([]);
  const bucket = meanShift / 8;
  const full = new Map<string, number>();
  for (const plan of plans) {
    const key = `${plan.count}:${Math.round(plan.meanLift / bucket)}`;
    const taken = full.get(key) ?? 0;
    if (taken >= KEPT / 4) continue;
    full.set(key, taken + 1);
    counts[plan.count]!.push(plan);
  }
  return counts;
}
