import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { contactLevel } from '../../src/model/contact.js';
import { feedOf } from '../../src/model/feed.js';
import {
  allShowWithin,
  ridgeBetween,
  showingArcs,
  showingKnives,
} from '../../src/model/surface.js';

/** The surface by looking: the lowest arc at each of many places, arcs of several turns. */
function bruteSurface(
  heights: readonly number[],
  positions: readonly number[],
  period: number,
  radius: number,
  points: number,
) {
  const levels: number[] = [];
  for (let i = 0; i < points; i++) {
    const y = (period * i) / points;
    let lowest = Infinity;
    for (let turn = -3; turn <= 3; turn++) {
      positions.forEach((position, knife) => {
        const along = y - position - turn * period;
        lowest = Math.min(lowest, (along * along) / (2 * radius) - heights[knife]!);
      });
    }
    levels.push(lowest);
  }
  return levels;
}

const blocks = fc.record({
  heights: fc.array(fc.double({ min: -0.05, max: 0.05, noNaN: true }), {
    minLength: 1,
    maxLength: 8,
  }),
  perKnife: fc.double({ min: 0.2, max: 5, noNaN: true }),
  radius: fc.double({ min: 30, max: 80, noNaN: true }),
});

describe('the planed surface', () => {
  it('has its highest crest where a fine grid finds it, whatever the block', () => {
    fc.assert(
      fc.property(blocks, ({ heights, perKnife, radius }) => {
        const feed = feedOf(perKnife, heights.length, radius, null);
        const points = 20_000;
        const levels = bruteSurface(heights, feed.positions, feed.period, feed.radius, points);
        const seen = -Math.max(...levels);
        const steepest = (feed.period * feed.period) / (points * feed.radius);
        const { level } = contactLevel(heights, feed, null);
        expect(level).toBeLessThanOrEqual(seen + 1e-12);
        expect(seen - level).toBeLessThan(steepest);
      }),
      { numRuns: 60 },
    );
  });

  it('shares a weight of one between the knives at the crest, as differences of the level say', () => {
    fc.assert(
      fc.property(blocks, ({ heights, perKnife, radius }) => {
        const feed = feedOf(perKnife, heights.length, radius, null);
        const { level, weights } = contactLevel(heights, feed, null);
        const total = weights.reduce((sum, { weight }) => sum + weight, 0);
        expect(total).toBeCloseTo(1, 12);
        for (const { weight } of weights) expect(weight).toBeGreaterThan(-1e-9);
        // Moving all knives moves the level as much.
        const moved = heights.map((height) => height + 0.003);
        expect(contactLevel(moved, feed, null).level).toBeCloseTo(level + 0.003, 12);
      }),
    );
  });

  it('leaves marks as wide and ridges as high as known for two knives, one lower and lower', () => {
    // R = 62.5, p = 1: the low knife's mark, mm, and the ridge, µm, for 0, 1, 2, 4 µm low.
    const known = [
      [0, 1, 2],
      [0.001, 0.875, 2.53125],
      [0.002, 0.75, 3.125],
      [0.004, 0.5, 4.5],
    ] as const;
    const feed = { period: 2, radius: 62.5, positions: [0, 1] };
    for (const [low, width, ridge] of known) {
      const heights = [0, -low];
      const arcs = showingArcs(heights, feed);
      expect(arcs.map(({ knife }) => knife)).toEqual([0, 1, 0]);
      const from = ridgeBetween(arcs[0]!, arcs[1]!, heights, feed);
      const to = ridgeBetween(arcs[1]!, arcs[2]!, heights, feed);
      expect(to - from).toBeCloseTo(width, 12);
      expect(-contactLevel(heights, feed, null).level * 1000).toBeCloseTo(ridge, 9);
    }
    expect([...showingKnives([0, -0.00801], feed)]).toEqual([0]);
    expect(showingKnives([0, -0.00799], feed).size).toBe(2);
  });

  it('lets a knife between equal neighbours vanish at p²/(2R), and two of three at 16 µm', () => {
    const three = { period: 3, radius: 62.5, positions: [0, 1, 2] };
    expect(allShowWithin(three)).toBeCloseTo(0.008, 12);
    expect(showingKnives([0, -0.0159, -0.0159], three).size).toBe(3);
    expect([...showingKnives([0, -0.0161, -0.0161], three)]).toEqual([0]);
  });

  it('is the highest knife where no feed is known', () => {
    expect(contactLevel([0.01, 0.03, -0.02], null, null)).toEqual({
      level: 0.03,
      weights: [{ knife: 1, weight: 1 }],
    });
  });
});
