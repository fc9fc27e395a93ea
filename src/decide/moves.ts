import type { Adjusters } from '../machine/machine.js';
import { type EndPlan, type EndProblem, endPlans, planOf } from './end-plans.js';
import { type Draws, normalPoints } from './joint.js';
import { isInStock, type Lift } from './lifts.js';

/** Probability that the moves have to reach, and the one that is worth a further move. */
const ENOUGH = 0.95;
const AMPLE = 0.99;
/** A worst end nearer its limit than this many standard uncertainties cannot be inside with 95 %. */
const NEAREST_TO_LIMIT = 1.6;
/** Plans taken for each number of moves at an end, and plans tried when none reaches enough. */
const TAKEN = 20;
const TAKEN_AT_LEAST = 3;
const TRIED_AT_MOST = 60;
/** A gain in probability, or in the worst end, that is worth turning screws for. */
const WORTH_TURNING = 0.02;

/** The line that the knives are brought to, by name. */
export type Target =
  | { readonly name: 'mean' | 'bed' | 'highest' | 'lowest' }
  | { readonly name: 'knife'; readonly knife: number };

export interface MoveProblem {
  readonly adjusters: Adjusters;
  /** Offsets at the front and at the back end, one a knife, mm. */
  readonly ends: readonly [readonly number[], readonly number[]];
  /** Bed tilt, mm; null where it is not known, and the target then not the bed. */
  readonly tilt: number | null;
  /** Errors of all these: front and back of each knife in turn, then the tilt. */
  readonly draws: Draws;
  /** The least of the offsets' standard uncertainties, mm. */
  readonly leastU: number;
  readonly tolerance: { readonly knife: number; readonly bed: number };
  readonly target: Target;
  /** Lifts allowed at an end for a knife, ascending. */
  readonly lifts: (knife: number, end: 0 | 1) => readonly Lift[];
  /** Whether a knife's end may stay as it is. */
  readonly mayStay: (knife: number, end: 0 | 1) => boolean;
  /**
   * What the adjusters between the ends have to do for a knife's end lifts, mm; null where one of
   * them may not.
   */
  readonly between: (knife: number, front: number, back: number) => readonly (Lift | null)[] | null;
}

export interface MovePlan {
  readonly ends: readonly [EndPlan, EndPlan];
  /** For each knife, what its adjusters between the ends do. */
  readonly between: readonly (readonly (Lift | null)[])[];
  /** Moves at the two ends. */
  readonly count: number;
  readonly worst: number;
  /** Bed tilt after the moves, mm; how much they change it, where it is not known. */
  readonly tilt: number;
  readonly probability: number;
  /** Whether the probability is enough; false means the best there is. */
  readonly reached: boolean;
  /** The probability if hands, threads and seats were exact; only where enough is not reached. */
  readonly steady: number | null;
}

/**
 * The fewest moves at the ends that bring every knife inside (and, with the bed as target, the bed
 * too) with a joint probability of 95 %, one more where that buys 99 %; among as many moves the
 * smallest worst end, then the smaller tilt. What is inside with that probability as it stands is
 * left alone. Null where no plan is allowed.
 */
export function chooseMoves(problem: MoveProblem): MovePlan | null {
  const judge = judgeOf(problem);
  const still = staysAsItIs(problem, judge);
  if (still?.reached) return still;
  const within = problem.tolerance.knife - NEAREST_TO_LIMIT * problem.leastU;
  const plans = pairs(problem, Math.max(0, within), true, TAKEN);
  for (let count = 0; count <= plans.mostMoves; count++) {
    const enough = firstReaching(plans.of(count), judge, ENOUGH);
    if (!enough) continue;
    if (enough.probability >= AMPLE) return enough;
    return firstReaching(plans.of(count + 1), judge, AMPLE) ?? enough;
  }
  return bestThereIs(problem, judge, still);
}

type Pair = Omit<MovePlan, 'probability' | 'reached' | 'steady'>;

/** Pairs of end plans by number of moves, made when asked for: most jobs need few moves. */
interface Pairs {
  readonly mostMoves: number;
  readonly of: (count: number) => Pair[];
}

/** Judges a pair of end plans; below `enough` the probability is only known to be less. */
type Judge = (pair: Pair, enough: number, exactHands?: boolean) => MovePlan;

/** Leaving everything alone, if every knife may stay where it is. */
function staysAsItIs(problem: MoveProblem, judge: Judge): MovePlan | null {
  const { ends, mayStay, target, tolerance } = problem;
  const allowed = ends[0].every((_, knife) => mayStay(knife, 0) && mayStay(knife, 1));
  if (!allowed) return null;
  const none = ends.map((offsets) =>
    planOf(
      offsets,
      offsets.map(() => null),
    ),
  );
  const plan = judge(pairOf(problem, none[0]!, none[1]!)!, 0);
  const isOnLine = ends.every((offsets) => {
    const line = lineOf(target, offsets);
    return line === null || offsets.every((height) => Math.abs(height - line) <= tolerance.knife);
  });
  return { ...plan, reached: plan.reached && isOnLine };
}

/** Both ends joined; null where an adjuster between may not follow, or the stock does not reach. */
function pairOf(problem: MoveProblem, front: EndPlan, back: EndPlan): Pair | null {
  const between: (readonly (Lift | null)[])[] = [];
  for (let knife = 0; knife < front.lifts.length; knife++) {
    const [a, b] = [front.lifts[knife]?.lift ?? 0, back.lifts[knife]?.lift ?? 0];
    const lifts = problem.between(knife, a, b);
    if (!lifts) return null;
    between.push(lifts);
  }
  if (!isInStock(problem.adjusters, front.lifts, back.lifts, ...between)) return null;
  return {
    ends: [front, back],
    between,
    count: front.count + back.count,
    worst: Math.max(front.worst, back.worst),
    tilt: (problem.tilt ?? 0) - back.meanLift + front.meanLift,
  };
}

/**
 * Pairs of end plans of so many moves, the smallest worst end first, then the smaller tilt.
 *
 * @param taken end plans of each number of moves that are joined
 */
function pairs(problem: MoveProblem, within: number, thorough: boolean, taken: number): Pairs {
  const [front, back] = ([0, 1] as const).map((end) =>
    endPlans(endProblem(problem, end, within, thorough)).map((plans) =>
      plans.slice(0, problem.target.name === 'bed' ? 3 * taken : taken),
    ),
  ) as [EndPlan[][], EndPlan[][]];
  const isUseful = (pair: Pair) =>
    problem.target.name !== 'bed' || Math.abs(pair.tilt) <= problem.tolerance.bed;
  const of = (count: number) => {
    const list: Pair[] = [];
    front.forEach((plans, frontCount) => {
      for (const a of plans) {
        for (const b of back[count - frontCount] ?? []) {
          const pair = pairOf(problem, a, b);
          if (pair && isUseful(pair)) list.push(pair);
        }
      }
    });
    return list.sort((a, b) => a.worst - b.worst || Math.abs(a.tilt) - Math.abs(b.tilt));
  };
  return { mostMoves: front.length + back.length - 2, of };
}

function endProblem(
  problem: MoveProblem,
  end: 0 | 1,
  within: number,
  thorough: boolean,
): EndProblem {
  const offsets = problem.ends[end];
  const { target, tolerance } = problem;
  const knives = offsets.map((_, knife) => knife);
  const smallest = Math.min(
    ...knives.flatMap((knife) => problem.lifts(knife, end).map(({ lift }) => Math.abs(lift))),
  );
  const toBed = target.name === 'bed' ? Math.abs(problem.tilt ?? 0) + tolerance.bed : 0;
  return {
    offsets,
    lifts: knives.map((knife) =>
      problem.lifts(knife, end).filter(({ lift }) => isTowards(target, lift, knife)),
    ),
    mayStay: knives.map((knife) => problem.mayStay(knife, end)),
    line: lineOf(target, offsets),
    within,
    meanShift: toBed + (Number.isFinite(smallest) ? smallest : within),
    thorough,
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

/**
 * Where nothing reaches 95 %: the plan that reaches most. Screws are turned only for a gain worth
 * it, and of nearly equal plans the one of fewest moves is taken.
 */
function bestThereIs(problem: MoveProblem, judge: Judge, still: MovePlan | null): MovePlan | null {
  const wide = 2 * Math.max(...problem.ends.flat().map(Math.abs), problem.tolerance.knife);
  const plans = pairs(problem, wide, false, TAKEN_AT_LEAST);
  const all = Array.from({ length: plans.mostMoves + 1 }, (_, count) => plans.of(count)).flat();
  const tried = all
    .sort((a, b) => a.worst - b.worst)
    .slice(0, TRIED_AT_MOST)
    .map((pair) => judge(pair, 0))
    .sort((a, b) => a.count - b.count);
  let best = still;
  for (const plan of tried) if (best === null || isClearlyBetter(problem, plan, best)) best = plan;
  return best && { ...best, steady: judge(best, 0, true).probability };
}

function isClearlyBetter({ tolerance }: MoveProblem, plan: MovePlan, best: MovePlan): boolean {
  const gain = plan.probability - best.probability;
  const nearer = best.worst - plan.worst;
  if (gain > WORTH_TURNING) return nearer > 0;
  return gain > -WORTH_TURNING && nearer > 0.1 * tolerance.knife;
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
  return (pair, enough, exactHands = false) => {
    const failuresAllowed = Math.ceil(draws.points * (1 - enough));
    const errors = new Float64Array(2 * knives);
    let failures = 0;
    let point = 0;
    for (; point < draws.points && failures <= failuresAllowed; point++) {
      if (!exactHands) moveErrors(pair, normals, order[point]! * 2 * knives, errors);
      if (!isInside(pair, draws, point, errors, tolerance.knife, bedLimit)) failures++;
    }
    const probability = 1 - failures / point;
    return { ...pair, probability, reached: probability >= ENOUGH, steady: null };
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
