import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { contactLevel } from '../../src/model/contact.js';
import { feedOf } from '../../src/model/feed.js';
import {
  allShowWithin,
  oneFinishesBelow,
  planedSurface,
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

const FEED = { period: 2, radius: 62.5, positions: [0, 1] };
const even = (knives: number, p: number, radius: number) => ({
  period: knives * p,
  radius,
  positions: Array.from({ length: knives }, (_, k) => k * p),
});
const widthsOf = (heights: readonly number[], feed: typeof FEED) => {
  const widths = heights.map(() => 0);
  for (const { knife, from, to } of planedSurface(heights, feed).marks) widths[knife] = to - from;
  return widths;
};
const heightsWith = (knives: number, lowered: Readonly<Record<number, number>>) =>
  Array.from({ length: knives }, (_, k) => -(lowered[k] ?? 0));

describe('known figures of the planed surface', () => {
  // Worked by hand: e low, the mark 1 − e/8 µm·mm, the ridge (1 + e/8 µm)²·2 µm.
  it.each([
    [0, 1.0, 2.0],
    [1, 0.875, 2.531],
    [2, 0.75, 3.125],
    [4, 0.5, 4.5],
    [8, 0.0, 8.0],
  ])('two knives, one %d µm low: a mark of %d mm, a ridge of %d µm', (low, width, ridge) => {
    const heights = [0, -low / 1000];
    expect(widthsOf(heights, FEED)[1]).toBeCloseTo(width, 9);
    expect(widthsOf(heights, FEED)[0]).toBeCloseTo(2 - width, 9);
    const { ridgeHeight } = planedSurface(heights, FEED);
    expect(Math.abs(ridgeHeight * 1000 - ridge)).toBeLessThan(0.0005);
  });

  it.each([
    [15.999, 3],
    [16.001, 1],
  ])('three knives, two of them %d µm low: %d leave marks', (low, showing) => {
    const heights = heightsWith(3, { 1: low / 1000, 2: low / 1000 });
    expect(planedSurface(heights, even(3, 1, 62.5)).marks).toHaveLength(showing);
  });

  it('equal knives at 2 mm on a radius of 62.5 mm leave ridges of 8.000 µm', () => {
    for (const knives of [1, 2, 3, 4, 6, 24]) {
      const { ridges, ridgeHeight, hidden } = planedSurface(
        heightsWith(knives, {}),
        even(knives, 2, 62.5),
      );
      expect(ridgeHeight * 1000).toBeCloseTo(8, 9);
      expect(ridges.map(({ height }) => height * 1000)).toEqual(
        ridges.map(() => expect.closeTo(8, 9)),
      );
      expect(hidden).toEqual([]);
    }
  });

  it('every mark is wider for its own knife and narrower for its neighbours, in a straight line', () => {
    // As long as all show: p + (R/p)·(2h of its own − h of the one before − h of the one after).
    const block = fc.record({
      knives: fc.integer({ min: 3, max: 24 }),
      p: fc.double({ min: 0.2, max: 5, noNaN: true }),
      radius: fc.double({ min: 30, max: 80, noNaN: true }),
      units: fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { minLength: 24, maxLength: 24 }),
    });
    fc.assert(
      fc.property(block, ({ knives, p, radius, units }) => {
        const feed = even(knives, p, radius);
        const heights = units.slice(0, knives).map((unit) => (unit * 0.999 * p * p) / (2 * radius));
        const widths = widthsOf(heights, feed);
        widths.forEach((width, k) => {
          const [before, after] = [heights.at(k - 1)!, heights[(k + 1) % knives]!];
          const expected = p + (radius / p) * (2 * heights[k]! - before - after);
          expect(Math.abs(width - expected)).toBeLessThan(1e-9);
        });
      }),
      { numRuns: 300 },
    );
  });
});

describe('heights at which knives vanish', () => {
  const [p, radius] = [1.3, 48];
  const JUST = 1e-6;
  const shows = (heights: readonly number[], knife: number) =>
    showingKnives(heights, even(heights.length, p, radius)).has(knife);

  it.each([2, 3, 4, 6, 12, 24])('one of %d knives, the others equal: p²/(2R)', (knives) => {
    const bound = (p * p) / (2 * radius);
    expect(allShowWithin(even(knives, p, radius))).toBeCloseTo(bound, 15);
    expect(shows(heightsWith(knives, { 1: bound * (1 - JUST) }), 1)).toBe(true);
    expect(shows(heightsWith(knives, { 1: bound * (1 + JUST) }), 1)).toBe(false);
  });

  it.each([2, 3, 4, 6, 12, 24])(
    '%d knives, one leading: j·(N − j)·p²/(2R) for the one j on',
    (knives) => {
      for (let j = 1; j < knives; j++) {
        const bound = (j * (knives - j) * p * p) / (2 * radius);
        // Only the leader and the one j places on count; the others are far below.
        const low = (at: number) =>
          Array.from({ length: knives }, (_, k) => (k === 0 ? 0 : k === j ? -at : -10));
        expect(shows(low(bound * (1 - JUST)), j)).toBe(true);
        expect(shows(low(bound * (1 + JUST)), j)).toBe(false);
        const { atMost } = planedSurface(low(10), even(knives, p, radius)).hidden[j - 1]!;
        expect(atMost).toBeCloseTo(-bound, 13);
      }
    },
  );

  it.each([2, 3, 4, 5, 6, 7, 12, 24])('%d knives, one finishing alone', (knives) => {
    const feed = even(knives, p, radius);
    const square = knives % 2 === 0 ? feed.period ** 2 : feed.period ** 2 - p * p;
    const bound = square / (8 * radius);
    expect(oneFinishesBelow(feed)).toBeCloseTo(bound, 13);
    const others = (by: number) => [0, ...Array.from({ length: knives - 1 }, () => -by)];
    expect(showingKnives(others(bound * (1 - JUST)), feed).size).toBeGreaterThan(1);
    expect(showingKnives(others(bound * (1 + JUST)), feed).size).toBe(1);
  });

  it('are null for a single knife, which has no other', () => {
    expect(allShowWithin(even(1, p, radius))).toBeNull();
    expect(oneFinishesBelow(even(1, p, radius))).toBeNull();
  });

  it('hold for knives spaced unevenly, by trying', () => {
    const gaps = fc.array(fc.integer({ min: 1, max: 50 }), { minLength: 2, maxLength: 8 });
    fc.assert(
      fc.property(gaps, (list) => {
        const period = list.reduce((sum, gap) => sum + gap, 0) / 10;
        const positions = list.map((_, k) => list.slice(0, k).reduce((s, g) => s + g, 0) / 10);
        const feed = { period, radius, positions };
        const [within, below] = [allShowWithin(feed)!, oneFinishesBelow(feed)!];
        const knives = list.map((_, k) => k);
        // All show with any one knife lowered by less, and some knife is lost when lowered by more.
        const lowered = (by: number) =>
          knives.map((k) => showingKnives(heightsWith(list.length, { [k]: by }), feed).size);
        expect(Math.min(...lowered(within * (1 - JUST)))).toBe(list.length);
        expect(Math.min(...lowered(within * (1 + JUST)))).toBe(list.length - 1);
        // Whichever leads by more is alone; by less, some leader is not.
        const alone = (by: number) =>
          knives.map(
            (k) =>
              showingKnives(
                knives.map((j) => (j === k ? by : 0)),
                feed,
              ).size,
          );
        expect(Math.max(...alone(below * (1 + JUST)))).toBe(1);
        expect(Math.max(...alone(below * (1 - JUST)))).toBeGreaterThan(1);
      }),
      { numRuns: 200 },
    );
  });

  it('let all show however heights are dealt out within the least of them', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.integer({ min: 1, max: 50 }), fc.boolean()), {
          minLength: 2,
          maxLength: 12,
        }),
        (knives) => {
          const period = knives.reduce((sum, [gap]) => sum + gap, 0) / 10;
          const positions = knives.map((_, k) =>
            knives.slice(0, k).reduce((sum, [gap]) => sum + gap / 10, 0),
          );
          const feed = { period, radius, positions };
          const spread = allShowWithin(feed)! * (1 - JUST);
          const heights = knives.map(([, isHigh]) => (isHigh ? spread : 0));
          expect(showingKnives(heights, feed).size).toBe(knives.length);
        },
      ),
      { numRuns: 300 },
    );
  });
});
