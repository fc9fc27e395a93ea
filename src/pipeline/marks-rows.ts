import { contrastFactor, lowerTriangle } from '../decide/mark-order.js';
import type { Machine } from '../machine/machine.js';
import type { HeightSum, HiddenKnife, MarksRow } from '../model/instruments.js';
import { heightsOfMarks, hiddenMarks, type MarkOrder } from '../model/marks.js';
import type { MarkSequence } from './mark-sequences.js';

/** A mark narrower than this many standard deviations of a ridge may have been overlooked. */
const OVERLOOKED = 3;

/**
 * What a row of ridges says of the heights of its knives, as independent sums of heights: the
 * differences to the first mark's knife, each less what the ones before it say of it.
 */
export function marksRows(machine: Machine, sequence: MarkSequence, order: MarkOrder): MarksRow[] {
  const { pattern, x } = sequence;
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
    return { x, terms, value, scale: Math.abs(own[i]!) };
  });
}

/**
 * The knives that left no mark: each stands at most so far above the line between its neighbours
 * that a mark of it could have been overlooked.
 *
 * @param sd standard deviation of one ridge's position, mm
 */
export function hiddenKnives(
  machine: Machine,
  { pattern, x }: MarkSequence,
  order: MarkOrder,
  sd: number,
): HiddenKnife[] {
  const { feed } = heightsOfMarks(machine, pattern.phases, pattern.period, order);
  return hiddenMarks(feed, order).map(({ knife, before, after, share, depth, perWidth }) => {
    const { terms } = lineBetween(knife, before, after, share);
    return { x, knife, terms, atMost: OVERLOOKED * sd * perWidth - depth };
  });
}

/** A knife's height above the line between two others'. */
function lineBetween(
  knife: number,
  before: number,
  after: number,
  share: number,
): Omit<HeightSum, 'x'> {
  const terms =
    before === after
      ? [
          { knife, weight: 1 },
          { knife: before, weight: -1 },
        ]
      : [
          { knife, weight: 1 },
          { knife: before, weight: share - 1 },
          { knife: after, weight: -share },
        ];
  return { terms };
}
