import { describe, expect, it } from 'vitest';
import {
  afterMarks,
  HEIGHTS_OF_A_KNIFE,
  heightsAt,
  type KnifeShapes,
  unknownShapes,
} from '../../src/decide/knife-shapes.js';
import { dot } from '../../src/fit/decomposition.js';
import { seeded } from '../workshop/random.js';

/** Where a knife's three heights stand in the state. */
const [FRONT, MIDDLE, BACK] = [0, 1, 2];

const span = { front: 40, back: 480 };

function sdOf(shapes: KnifeShapes, x: number, weights: readonly number[]): number {
  const { factors } = heightsAt(shapes, x);
  const sum = factors[0]!.map((_, j) =>
    dot(
      weights,
      factors.map((factor) => factor[j]!),
    ),
  );
  return Math.sqrt(dot(sum, sum));
}

describe('shapes of knives', () => {
  it('are a straight line and a parabola through three heights', () => {
    const random = seeded(1);
    const shapes = unknownShapes(span, 3);
    const heights = shapes.state.heights.map(() => random.normal(0.05));
    const known = { ...shapes, state: { ...shapes.state, heights } };
    for (const [x, place] of [
      [40, FRONT],
      [260, MIDDLE],
      [480, BACK],
    ] as const) {
      const here = heightsAt(known, x).heights;
      here.forEach((height, knife) => {
        expect(height).toBeCloseTo(heights[HEIGHTS_OF_A_KNIFE * knife + place]!, 12);
      });
    }
    // Second differences of a parabola are all the same.
    const along = [40, 150, 260, 370, 480, 590].map((x) => heightsAt(known, x).heights[1]!);
    const bends = along.slice(2).map((h, i) => h - 2 * along[i + 1]! + along[i]!);
    for (const bend of bends) expect(bend).toBeCloseTo(bends[0]!, 12);
  });

  it('of which nothing is known may stand anywhere, and are hardly bowed', () => {
    const shapes = unknownShapes(span, 2);
    for (const x of [40, 150, 260, 480]) {
      expect(sdOf(shapes, x, [1, -1])).toBeGreaterThan(0.1);
      expect(sdOf(shapes, x, [1, -1])).toBeLessThan(0.5);
    }
    // Once told at both ends, what is open in the middle is the bow: 0.02 mm each.
    const rows = [40, 480].map((x) => ({
      x,
      terms: [
        { knife: 0, weight: 1 },
        { knife: 1, weight: -1 },
      ],
      value: 0.01,
      scale: 1,
    }));
    const told = rows.reduce((known, row) => afterMarks(known, row, 1e-5), shapes);
    expect(sdOf(told, 260, [1, -1])).toBeGreaterThan(0.02);
    expect(sdOf(told, 260, [1, -1])).toBeLessThan(0.04);
    for (const x of [40, 480]) {
      const { heights } = heightsAt(told, x);
      expect(heights[0]! - heights[1]!).toBeCloseTo(0.01, 5);
      // An edge is no ideal line: a few micrometres are left open however fine the marks.
      expect(sdOf(told, x, [1, -1])).toBeGreaterThan(0.001);
      expect(sdOf(told, x, [1, -1])).toBeLessThan(0.004);
    }
    // Told at one end only, the other end is as open as it was.
    const half = afterMarks(shapes, rows[0]!, 1e-5);
    expect(sdOf(half, 480, [1, -1])).toBeCloseTo(sdOf(shapes, 480, [1, -1]), 3);
  });
});
