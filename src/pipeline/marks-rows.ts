import { contrastFactor } from '../decide/mark-order.js';
import { lowerTriangle } from '../fit/triangle.js';
import type { Machine } from '../machine/machine.js';
import type { HiddenKnife, MarksRow } from '../model/instruments.js';
import { aboveLine, heightsOfMarks, hiddenMarks, type MarkOrder } from '../model/marks.js';
import type { MarkSequence } from './mark-sequences.js';

/** A mark narrower than this may have been overlooked, its two ridges taken for one, mm. */
const OVERLOOKED = 0.12;

/**
 * What a row of ridges says of the heights of its knives, as independent sums of heights: the
 * differences to the first mark's knife, each less what the ones before it say of it.
 *
 * @param sd standard deviation of one ridge's position, mm
 */
export function marksRows(
  machine: Machine,
  sequence: MarkSequence,
  order: MarkOrder,
  sd: number,
): MarksRow[] {
  const { pattern, x } = sequence;
  const widening = withRounding(sequence, sd);
  const marks = heightsOfMarks(machine, pattern.phases, pattern.period, order);
  const rest = order.slice(1);
  const lower = lowerTriangle(rest.map((_, i) => contrastFactor(marks, pattern, i + 1)));
  // Each independent sum as shares of the differences.
  const sums: number[][] = [];
  return rest.map((_, i) => {
    const own = lower[i]!;
    const shares: number[] = rest.map((__, j) => (i === j ? 1 : 0));
    for (let j = 0; j < i; j++) {
      const share = own[j]! / lower[j]![j]!;
      sums[j]!.forEach((value, k) => {
        shares[k]! -= share * value;
      });
    }
    sums.push(shares);
    const value = shares.reduce(
      (sum, share, k) => sum + share * (marks.heights[k + 1]! - marks.heights[0]!),
      0,
    );
    const total = shares.reduce((sum, share) => sum + share, 0);
    const terms = [
      { knife: order[0]!, weight: -total },
      ...rest.map((knife, k) => ({ knife, weight: shares[k]! })),
    ].filter(({ weight }) => weight !== 0);
    return { x, terms, value, scale: widening * Math.abs(own[i]!) };
  });
}

/** By how much more than chance over all revolutions the ridges of a sequence are uncertain. */
function withRounding({ pattern, rounding }: MarkSequence, sd: number): number {
  const turns = new Set(pattern.places.flatMap((place) => (place ? [place.turn] : []))).size;
  return Math.sqrt(1 + (turns * rounding ** 2) / sd ** 2);
}

/**
 * The knives that left no mark: each stands at most so far above where its mark would begin that it
 * could have been overlooked.
 */
export function hiddenKnives(
  machine: Machine,
  { pattern, x }: MarkSequence,
  order: MarkOrder,
): HiddenKnife[] {
  const { feed } = heightsOfMarks(machine, pattern.phases, pattern.period, order);
  return hiddenMarks(feed, order).map((hidden) => {
    const { knife, depth, perWidth } = hidden;
    return { x, knife, terms: aboveLine(hidden), atMost: OVERLOOKED * perWidth - depth };
  });
}
