import type { PatternPlace } from './pattern.js';

/** The likeliest way in which points follow a pattern of widths. */
export interface Assignment {
  /** Minus the logarithm of its likelihood, but for a constant. */
  readonly cost: number;
  /** Of each point; null where it is passed over. */
  readonly places: readonly (PatternPlace | null)[];
  /** Points passed over because they stand in the place of the one before them. */
  readonly doubled: readonly number[];
}

/** Minus the logarithm of how often a place is missed, a point stands twice, or is out of place. */
const MISSED = 3.5;
const DOUBLED = 5;
const MISPLACED = 6;
/** So many places in a row may be missed, and so many points in a row misplaced. */
const MOST_MISSED = 3;
const MOST_MISPLACED = 2;
/** Half the square of a residual counts up to this: what is further off is not the pattern's. */
const MOST_RESIDUAL = 18;

/**
 * Assigns points to the slots of a repeating pattern by dynamic programming (Viterbi 1967): from one
 * point to the next the pattern moves on by one slot, by more where places were missed, by none where
 * a place was read twice, and points that fit nowhere are passed over.
 *
 * @param points ascending
 * @param widths from each slot to the next, the last one to the first of the next turn
 * @param sd standard deviation of one point's position
 */
export function assignToPattern(
  points: readonly number[],
  widths: readonly number[],
  sd: number,
): Assignment {
  const slots = widths.length;
  const count = points.length;
  const cost = new Float64Array(count * slots).fill(Infinity);
  const from = new Int32Array(count * slots).fill(-1);
  const steps = new Int8Array(count * slots);
  const ahead = distancesAhead(widths);
  for (let point = 0; point < count; point++) {
    for (let slot = 0; slot < slots; slot++) {
      const here = point * slots + slot;
      // A run may begin at any point, those before it being out of place.
      if (point <= MOST_MISPLACED) cost[here] = point * MISPLACED;
      for (let back = 1; back <= Math.min(point, MOST_MISPLACED + 1); back++) {
        const apart = points[point]! - points[point - back]!;
        for (let step = 0; step <= MOST_MISSED + 1; step++) {
          const slotBefore = (((slot - step) % slots) + slots) % slots;
          const before = (point - back) * slots + slotBefore;
          const off = (apart - ahead[slotBefore]![step]!) / sd;
          const residual = Math.min(MOST_RESIDUAL, off ** 2 / 4);
          const total = cost[before]! + residual + penalty(step) + (back - 1) * MISPLACED;
          if (total < cost[here]!) {
            cost[here] = total;
            from[here] = before;
            steps[here] = step;
          }
        }
      }
    }
  }
  return trace(cost, from, steps, count, slots);
}

function penalty(step: number): number {
  return step === 0 ? DOUBLED : (step - 1) * MISSED;
}

/** From each slot, how far ahead the slots 0, 1, 2 ... steps on lie. */
function distancesAhead(widths: readonly number[]): number[][] {
  return widths.map((_, slot) => {
    const ahead = [0];
    for (let step = 0; step <= MOST_MISSED; step++) {
      ahead.push(ahead[step]! + widths[(slot + step) % widths.length]!);
    }
    return ahead;
  });
}

function trace(
  cost: Float64Array,
  from: Int32Array,
  steps: Int8Array,
  count: number,
  slots: number,
): Assignment {
  let best = -1;
  let least = Infinity;
  // The points behind the last one that belongs are out of place.
  for (let at = Math.max(0, (count - 1 - MOST_MISPLACED) * slots); at < count * slots; at++) {
    const total = cost[at]! + (count - 1 - Math.floor(at / slots)) * MISPLACED;
    if (total < least) [best, least] = [at, total];
  }
  const path: number[] = [];
  for (let at = best; at >= 0; at = from[at]!) path.unshift(at);
  const places = new Array<PatternPlace | null>(count).fill(null);
  const doubled: number[] = [];
  const first = (path[0] ?? 0) % slots;
  let along = first;
  path.forEach((at, i) => {
    const point = Math.floor(at / slots);
    if (i > 0) along += steps[at]!;
    if (i > 0 && steps[at] === 0) doubled.push(point);
    else places[point] = { turn: Math.floor(along / slots), slot: along % slots };
  });
  return { cost: least, places, doubled };
}
