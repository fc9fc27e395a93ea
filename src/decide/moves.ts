import type { Adjusters } from '../machine/machine.js';
import { type EndPlan, type EndProblem, endPlans, planOf } from './end-plans.js';
import { type Draws, normalPoints } from './joint.js';
import { isInStock, type Lift } from './lifts.js';

/** Probability that the moves have to reach, and the one that is worth a further move. */
const ENOUGH = 0.95;
const AMPLE = 0.99;
/** Plans tried when no plan reaches enough. */
const TRIED_AT_MOST = 400;

/** The line that the knives are brought to, by name. */
export type Target =
  | { readonly name: 'mean' | 'bed' | 'highest' | 'lowest' }
  | { readonly name: 'knife'; readonly knife: number };

export interface MoveProblem {
  readonly adjusters: Adjusters;
  /** Offsets at the front and at the back end, one a knife, mm. */
  readonly ends: readonly [readonly number[], readonly number[]];
  readonly tilt: number;
  /** Errors of all these: front and back of each knife in turn, then the tilt. */
  readonly draws: Draws;
  readonly tolerance: { readonly knife: number; readonly bed: number };
  readonly target: Target;
  /** Lifts allowed at an end for a knife, ascending. */
  readonly lifts: (knife: number, end: 0 | 1) => readonly Lift[];
  /** Whether a knife's end may stay as it is. */
  readonly mayStay: (knife: number, end: 0 | 1) => boolean;
}

export interface MovePlan {
  readonly ends: readonly [EndPlan, EndPlan];
  readonly count: number;
  readonly worst: number;
  readonly tilt: number;
  readonly probability: number;
  /** Whether the probability is enough; false means the best there is. */
  readonly reached: boolean;
}

/**
 * The fewest moves that bring every knife inside (and, with the bed as target, the bed too) with a
 * joint probability of 95 %, one more where that buys 99 %; among as many moves the smallest worst
 * end, then the smaller tilt. Knives that are inside already stay. Null where no plan is allowed.
 */
export function chooseMoves(problem: MoveProblem): MovePlan | null {
  const judge = judgeOf(problem);
  const still = staysAsItIs(problem, judge);
  if (still?.reached) return still;
  const plans = pairs(problem, problem.tolerance.knife);
  for (let count = 0; count <= plans.mostMoves; count++) {
    const enough = firstReaching(plans.of(count), judge, ENOUGH);
    if (!enough) continue;
    if (enough.probability >= AMPLE) return enough;
    return firstReaching(plans.of(count + 1), judge, AMPLE) ?? enough;
  }
  return bestThereIs(problem, judge, plans, still);
}

type Pair = Omit<MovePlan, 'probability' | 'reached'>;

/** Pairs of end plans by number of moves, made when asked for: most jobs need few moves. */
interface Pairs {
  readonly mostMoves: number;
  readonly of: (count: number) => Pair[];
}

/** Judges a pair of end plans; below `enough` the probability is only known to be less. */
type Judge = (pair: Pair, enough: number) => MovePlan;

/** Leaving everything alone, if every knife may stay where it is. */
function staysAsItIs(problem: MoveProblem, judge: Judge): MovePlan | null {
  const { ends, mayStay, target } = problem;
  const allowed = ends[0].every((_, knife) => mayStay(knife, 0) && mayStay(knife, 1));
  if (!allowed) return null;
  const [front, back] = ends.map((offsets) =>
    planOf(
      offsets,
      offsets.map(() => null),
    ),
  );
  const plan = judge(pairOf(problem, front!, back!), 0);
  const isOnLine = [0, 1].every((end) =>
    ends[end]!.every((height) => {
      const line = lineOf(target, ends[end]!);
      return line === null || Math.abs(height - line) <= problem.tolerance.knife;
    }),
  );
  return { ...plan, reached: plan.reached && isOnLine };
}

function pairOf({ tilt }: MoveProblem, front: EndPlan, back: EndPlan): Pair {
  return {
    ends: [front, back],
    count: front.count + back.count,
    worst: Math.max(front.worst, back.worst),
    tilt: tilt - back.meanLift + front.meanLift,
  };
}

/** Pairs of end plans of so many moves, the smallest worst end first, then the smaller tilt. */
function pairs(problem: MoveProblem, within: number): Pairs {
  const front = endPlans(endProblem(problem, 0, within));
  const back = endPlans(endProblem(problem, 1, within));
  const isUseful = (pair: Pair) =>
    problem.target.name !== 'bed' || Math.abs(pair.tilt) <= problem.tolerance.bed;
  const of = (count: number) => {
    const list: Pair[] = [];
    front.forEach((plans, frontCount) => {
      for (const a of plans) {
        for (const b of back[count - frontCount] ?? []) {
          const pair = pairOf(problem, a, b);
          if (isUseful(pair) && isInStock(problem.adjusters, a.lifts, b.lifts)) list.push(pair);
        }
      }
    });
    return list.sort((a, b) => a.worst - b.worst || Math.abs(a.tilt) - Math.abs(b.tilt));
  };
  return { mostMoves: front.length + back.length - 2, of };
}

function allOf(pairs: Pairs): Pair[] {
  return Array.from({ length: pairs.mostMoves + 1 }, (_, count) => pairs.of(count)).flat();
}

function endProblem(problem: MoveProblem, end: 0 | 1, within: number): EndProblem {
  const offsets = problem.ends[end];
  const { target, tolerance } = problem;
  const knives = offsets.map((_, knife) => knife);
  const smallest = Math.min(
    ...knives.flatMap((knife) => problem.lifts(knife, end).map(({ lift }) => Math.abs(lift))),
  );
  const toBed = target.name === 'bed' ? Math.abs(problem.tilt) + tolerance.bed : 0;
  return {
    offsets,
    lifts: knives.map((knife) =>
      problem.lifts(knife, end).filter(({ lift }) => isTowards(target, lift, knife)),
    ),
    mayStay: knives.map((knife) => problem.mayStay(knife, end)),
    line: lineOf(target, offsets),
    within,
    meanShift: toBed + (Number.isFinite(smallest) ? smallest : within),
  };
}

/** The highest knife stays and others rise to it; the lowest and a named one likewise. */
function isTowards(target: Target, lift: number, knife: number): boolean {
  if (target.name === 'highest') return lift > 0;
  if (target.name === 'lowest') return lift < 0;
  return target.name !== 'knife' || target.knife !== knife;
}

function lineOf(target: Target, offsets: readonly number[]): number | null {
  if (target.name === 'highest') return Math.max(...offsets);
  if (target.name === 'lowest') return Math.min(...offsets);
  return target.name === 'knife' ? offsets[target.knife]! : null;
}

function firstReaching(plans: readonly Pair[], judge: Judge, enough: number): MovePlan | null {
  for (const pair of plans) {
    const plan = judge(pair, enough);
    if (plan.probability >= enough) return plan;
  }
  return null;
}

/** Where nothing reaches 95 %: the plan that reaches most, of nearly equal ones that of fewest moves. */
function bestThereIs(
  problem: MoveProblem,
  judge: Judge,
  close: Pairs,
  still: MovePlan | null,
): MovePlan | null {
  const wide = Math.max(...problem.ends.flat().map(Math.abs), problem.tolerance.knife) * 2;
  const near = allOf(close);
  const pool = near.length > 0 ? near : allOf(pairs(problem, wide));
  const tried = [...pool]
    .sort((a, b) => a.worst - b.worst)
    .slice(0, TRIED_AT_MOST)
    .map((pair) => judge(pair, 0));
  if (still) tried.push(still);
  tried.sort((a, b) => a.count - b.count);
  let best: MovePlan | null = null;
  for (const plan of tried) {
    const isBetter =
      best === null ||
      plan.probability > best.probability + 0.005 ||
      (best.probability < 0.005 && plan.probability < 0.005 && plan.worst < best.worst - 1e-6);
    if (isBetter) best = plan;
  }
  return best;
}

/**
 * Judges plans: joint probability from the estimate's errors and those of hand, thread and seat.
 * What one screw lifts too far moves the mean of the knives too. Judging stops as soon as a plan
 * cannot reach the probability asked for, which is then given as less.
 */
function judgeOf({ draws, ends, tolerance, target }: MoveProblem): Judge {
  const knives = ends[0].length;
  const normals = normalPoints(draws.points, 2 * knives);
  const order = shuffle(draws.points);
  const bedLimit = target.name === 'bed' ? tolerance.bed : Infinity;
  return (pair, enough) => {
    const failuresAllowed = Math.ceil(draws.points * (1 - enough));
    const errors = new Float64Array(2 * knives);
    let failures = 0;
    let point = 0;
    for (; point < draws.points && failures <= failuresAllowed; point++) {
      moveErrors(pair, normals, order[point]! * 2 * knives, errors);
      if (!isInside(pair, draws, point, errors, tolerance.knife, bedLimit)) failures++;
    }
    const probability = 1 - failures / point;
    return { ...pair, probability, reached: probability >= ENOUGH };
  };
}

/** What each moved end misses its lift by in one draw, front and back of each knife in turn. */
function moveErrors(pair: Pair, normals: Float64Array, from: number, out: Float64Array): void {
  for (let end = 0; end < 2; end++) {
    const { lifts } = pair.ends[end]!;
    for (let knife = 0; knife < lifts.length; knife++) {
      const place = 2 * knife + end;
      out[place] = (lifts[knife]?.sd ?? 0) * normals[from + place]!;
    }
  }
}

function isInside(
  pair: Pair,
  { quantities, values }: Draws,
  point: number,
  errors: Float64Array,
  knifeLimit: number,
  bedLimit: number,
): boolean {
  const base = point * quantities;
  let tilt = pair.tilt + values[base + quantities - 1]!;
  for (let end = 0; end < 2; end++) {
    const { residuals } = pair.ends[end]!;
    let mean = 0;
    for (let knife = 0; knife < residuals.length; knife++) mean += errors[2 * knife + end]!;
    mean /= residuals.length;
    tilt += end === 0 ? mean : -mean;
    for (let knife = 0; knife < residuals.length; knife++) {
      const place = 2 * knife + end;
      const height = residuals[knife]! + values[base + place]! + errors[place]! - mean;
      if (Math.abs(height) > knifeLimit) return false;
    }
  }
  return Math.abs(tilt) <= bedLimit;
}

/** A fixed order of points that has nothing to do with the sequence's own: moves err independently. */
function shuffle(points: number): Uint32Array {
  const order = Uint32Array.from({ length: points }, (_, i) => i);
  let state = 12345;
  for (let i = points - 1; i > 0; i--) {
    state = (Math.imul(state, 1103515245) + 12345) >>> 0;
    const j = Math.floor((state / 2 ** 32) * (i + 1));
    [order[i], order[j]] = [order[j]!, order[i]!];
  }
  return order;
}
