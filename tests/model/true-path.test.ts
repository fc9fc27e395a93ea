import { describe, expect, it } from 'vitest';
import { feedOf, type Path } from '../../src/model/feed.js';
import { planedSurface } from '../../src/model/surface.js';

/**
 * The path of an edge as it is: the axis moves on by the feed while the edge goes round, against the
 * feed, with its lowest point at angle 0. A circle is the path on a board that stands still.
 */
interface Edge {
  readonly knife: number;
  /** Where its lowest point lies along the board. */
  readonly y: number;
  readonly radius: number;
  /** How far the board moves on for each radian, mm. */
  readonly perRadian: number;
}

function bisect(low: number, high: number, isBelow: (at: number) => boolean): number {
  let [from, to] = [low, high];
  for (let i = 0; i < 200 && from < to; i++) {
    const middle = (from + to) / 2;
    if (middle <= from || middle >= to) break;
    if (isBelow(middle)) from = middle;
    else to = middle;
  }
  return (from + to) / 2;
}

/** How high the edge passes over y, counted from the lowest point of an edge at height 0. */
function passesAt(
  { y: bottom, radius, perRadian }: Edge,
  y: number,
  cuttingRadius: number,
): number {
  const angle = bisect(
    -Math.PI / 2,
    Math.PI / 2,
    (at) => bottom + perRadian * at + radius * Math.sin(at) < y,
  );
  // 1 − cos as a square, which loses no digits at small angles.
  return cuttingRadius - radius + 2 * radius * Math.sin(angle / 2) ** 2;
}

/** Ridges between the paths that follow each other, each knife leaving a mark. */
function trueRidges(
  heights: readonly number[],
  perKnife: number,
  cuttingRadius: number,
  path: Path,
): { readonly y: number; readonly height: number }[] {
  const period = heights.length * perKnife;
  const perRadian = path === 'trochoid' ? period / (2 * Math.PI) : 0;
  const edge = (m: number): Edge => {
    const knife = m % heights.length;
    const radius = cuttingRadius + heights[knife]!;
    return { knife, y: m * perKnife, radius, perRadian };
  };
  return heights.map((_, m) => {
    const [a, b] = [edge(m), edge(m + 1)];
    const y = bisect(
      a.y - period,
      b.y + period,
      (at) => passesAt(a, at, cuttingRadius) < passesAt(b, at, cuttingRadius),
    );
    return { y, height: passesAt(a, y, cuttingRadius) };
  });
}

/** Feed a knife in mm, knives, cutting radius in mm, and how far off a ridge's height may be. */
const FEEDS = [
  [0.5, 4, 60, 1e-4],
  [1, 2, 62.5, 1e-4],
  [1, 3, 60, 1e-4],
  [2, 2, 62.5, 1e-4],
  [0.8, 2, 30, 1e-4],
  // Four and six millimetres a revolution: the square of the feed begins to tell.
  [1.3, 3, 48, 1.5e-4],
  [1.5, 4, 80, 1.5e-4],
] as const;

/** How low the knives stand, in parts of what would hide one of them. */
const SHARES = [0, -0.6, -0.25, -0.8];

const PATHS = ['trochoid', 'circle'] as const;
const cases = PATHS.flatMap((path) => FEEDS.map((feed) => [path, ...feed] as const));

describe('arcs in place of true paths', () => {
  it.each(cases)('%s, %d mm a knife, %d knives, radius %d mm, to %d', (path, ...of) => {
    const [perKnife, knives, radius, most] = of;
    const within = perKnife ** 2 / (2 * radius);
    for (const size of [0, 1]) {
      const heights = SHARES.slice(0, knives).map((share) => size * share * within);
      const feed = feedOf(perKnife, knives, radius, null, path);
      const { ridges } = planedSurface(heights, feed);
      const truth = trueRidges(heights, perKnife, radius, path);
      expect(ridges).toHaveLength(knives);
      const turnsOff = (a: number, b: number) => {
        const turns = (a - b) / feed.period;
        return Math.abs(turns - Math.round(turns)) * feed.period;
      };
      const found = truth.map(({ y }) => ridges.find((ridge) => turnsOff(ridge.y, y) < 1e-3)!);
      found.forEach((ridge, i) => {
        expect(Math.abs(ridge.height / truth[i]!.height - 1)).toBeLessThan(most);
      });
    }
  });

  it('cannot be told apart by the radius of the cutting circle alone', () => {
    // What is left out when the board is taken to stand still: a hundredth of the height.
    const [ridge] = trueRidges([0, 0], 1, 62.5, 'trochoid');
    const still = planedSurface([0, 0], feedOf(1, 2, 62.5, null, 'circle')).ridgeHeight;
    expect(still / ridge!.height - 1).toBeGreaterThan(5e-3);
  });

  it('equal knives at 2 mm on a radius of 62.5 mm: 8.000 µm, and 8.0005 µm between true circles', () => {
    const { ridgeHeight } = planedSurface([0], feedOf(2, 1, 62.5, null, 'circle'));
    expect(ridgeHeight * 1000).toBeCloseTo(8, 9);
    const [ridge] = trueRidges([0], 2, 62.5, 'circle');
    expect(Math.abs(ridge!.height * 1000 - 8.0005)).toBeLessThan(0.00005);
  });
});
