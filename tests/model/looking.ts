import fc from 'fast-check';
import { type Feed, feedOf } from '../../src/model/feed.js';

/**
 * The planed surface found by looking at it: no theory but the height of every arc at a place. It is
 * slow and plain, so that the surface of the model can be held against it.
 */

/** A block of knives and the board's feed under it. */
export interface Block {
  readonly heights: readonly number[];
  readonly feed: Feed;
}

/** A mark as it was found: which knife's arc is lowest from where to where. */
export interface SeenMark {
  readonly knife: number;
  readonly from: number;
  readonly to: number;
}

/** One passing of a knife's edge. */
interface Passing {
  readonly knife: number;
  readonly y: number;
}

/** Marks thinner than this, in mm, are as good as none: heights are not known to a picometre. */
export const THIN = 1e-10;

/** How high the surface left by one passing of an edge lies at y, as its arc is defined. */
function arcAt(passing: Passing, y: number, heights: readonly number[], radius: number): number {
  return (y - passing.y) ** 2 / (2 * radius) - heights[passing.knife]!;
}

/** The passings of a few turns before and after the first. */
function passings({ positions, period }: Feed): Passing[] {
  return [-2, -1, 0, 1, 2].flatMap((turn) =>
    positions.map((position, knife) => ({ knife, y: position + turn * period })),
  );
}

function lowestAt(
  y: number,
  all: readonly Passing[],
  heights: readonly number[],
  radius: number,
): Passing {
  let lowest = all[0]!;
  let level = arcAt(lowest, y, heights, radius);
  for (const passing of all) {
    const at = arcAt(passing, y, heights, radius);
    if (at < level) [lowest, level] = [passing, at];
  }
  return lowest;
}

/** How high the surface lies at each y, mm. */
export function surfaceOf({ heights, feed }: Block): (y: number) => number {
  const all = passings(feed);
  return (y) => {
    const place = y - Math.floor(y / feed.period) * feed.period;
    const lowest = lowestAt(place, all, heights, feed.radius);
    return arcAt(lowest, place, heights, feed.radius);
  };
}

/**
 * The marks of one revolution, from the bottom of the highest knife's hollow to the next one's, which
 * belong to it. Between two places with different lowest arcs lies a ridge; where those two arcs meet,
 * either no arc is lower, and the ridge is found, or another is, and there is more than one.
 */
export function seenMarks({ heights, feed }: Block): SeenMark[] {
  const all = passings(feed);
  const lowest = (y: number) => lowestAt(y, all, heights, feed.radius);
  const at = (passing: Passing, y: number) => arcAt(passing, y, heights, feed.radius);
  const highest = heights.indexOf(Math.max(...heights));
  const start = feed.positions[highest]!;
  const ridges: { y: number; before: Passing; after: Passing }[] = [];
  const look = (left: number, a: Passing, right: number, b: Passing) => {
    if (a === b) return;
    const [atLeft, atRight] = [at(a, left) - at(b, left), at(a, right) - at(b, right)];
    const y = left - (atLeft * (right - left)) / (atRight - atLeft);
    const c = lowest(y);
    const isRidge = at(c, y) > Math.min(at(a, y), at(b, y)) - 1e-15 || y <= left || y >= right;
    if (isRidge) {
      ridges.push({ y, before: a, after: b });
    } else {
      look(left, a, y, c);
      look(y, c, right, b);
    }
  };
  const [first, last] = [
    { knife: highest, y: start },
    { knife: highest, y: start + feed.period },
  ].map(({ knife, y }) => all.find((one) => one.knife === knife && Math.abs(one.y - y) < 1e-9)!);
  look(start, first!, start + feed.period, last!);
  return ridges.map(({ y, before }, i) => {
    const from = i === 0 ? ridges.at(-1)!.y - feed.period : ridges[i - 1]!.y;
    return { knife: before.knife, from, to: y };
  });
}

/** Any block: up to so many knives, spaced evenly or not, from equal heights to far apart. */
export function blocks(most: number): fc.Arbitrary<Block> {
  const knife = fc.record({
    height: fc.integer({ min: -10_000, max: 10_000 }),
    gap: fc.integer({ min: 20, max: 1000 }),
  });
  return fc
    .record({
      knives: fc.array(knife, { minLength: 1, maxLength: most, size: 'max' }),
      even: fc.boolean(),
      spread: fc.constantFrom(0.1, 0.02, 0.005, 0.001, 0.0002),
      perKnife: fc.integer({ min: 200, max: 5000 }),
      radius: fc.integer({ min: 3000, max: 8000 }),
    })
    .map(({ knives, even, spread, perKnife, radius }) => {
      const heights = knives.map(({ height }) => (height / 10_000) * spread);
      const turn = knives.reduce((sum, { gap }) => sum + gap, 0);
      let angle = 0;
      const angles = knives.map(({ gap }) => {
        angle += (360 * gap) / turn;
        return angle;
      });
      const feed = feedOf(perKnife / 1000, knives.length, radius / 100, even ? null : angles);
      return { heights, feed };
    });
}
