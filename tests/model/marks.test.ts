import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Machine } from '../../src/machine/machine.js';
import { feedAt } from '../../src/model/feed.js';
import {
  heightsOfMarks,
  hiddenMarks,
  type MarkOrder,
  possibleOrders,
} from '../../src/model/marks.js';
import { type PlanedSurface, planedSurface } from '../../src/model/surface.js';
import { benchMachine } from '../machines.js';

interface Block {
  readonly machine: Machine;
  readonly heights: readonly number[];
  readonly period: number;
}

/** Blocks of 1 to 12 knives, evenly spaced or not, so far apart in height that some hide. */
const blocks: fc.Arbitrary<Block> = fc
  .record({
    steps: fc.array(fc.integer({ min: 10, max: 40 }), { minLength: 1, maxLength: 12 }),
    isEven: fc.boolean(),
    pitch: fc.double({ min: 0.3, max: 5, noNaN: true }),
    diameter: fc.double({ min: 60, max: 200, noNaN: true }),
    shares: fc.array(fc.double({ min: -1, max: 1, noNaN: true }), { minLength: 12, maxLength: 12 }),
    spread: fc.constantFrom(0.05, 0.5, 1, 4),
  })
  .map(({ steps, isEven, pitch, diameter, shares, spread }) => {
    const bench = benchMachine();
    const round = steps.reduce((sum, step) => sum + step, 0);
    let at = 0;
    const angles = steps.map((step) => {
      at += (360 * step) / round;
      return at - (360 * step) / round;
    });
    const block = {
      ...bench.block,
      knives: steps.map((_, k) => String(k + 1)),
      cuttingDiameter: diameter,
      angles: isEven ? null : angles,
    };
    // A knife vanishes where it is about p²/(2R) low.
    const unit = (spread * pitch ** 2) / diameter;
    return {
      machine: { ...bench, block },
      heights: steps.map((_, k) => unit * shares[k]!),
      period: pitch * steps.length,
    };
  });

const surfaceOf = ({ machine, heights, period }: Block) =>
  planedSurface(heights, feedAt(machine, period));

/** The ridges as marks name them: each knife where its mark begins, from some mark on. */
function readFrom({ marks, ridges }: PlanedSurface, period: number, first: number) {
  const at = marks.map((_, i) => (first + i) % marks.length);
  return {
    order: at.map((i) => marks[i]!.knife),
    positions: at.map((i, place) => ridges[i]!.y + (first + place >= marks.length ? period : 0)),
  };
}

describe('heights from where ridges lie', () => {
  it('are those that left them, for any block and any first mark', () => {
    fc.assert(
      fc.property(blocks, fc.nat(11), fc.integer({ min: 0, max: 3000 }), (block, start, shift) => {
        const surface = surfaceOf(block);
        const { order, positions } = readFrom(surface, block.period, start % surface.marks.length);
        const ridges = positions.map((y) => y + shift);
        const { heights, gaps } = heightsOfMarks(block.machine, ridges, block.period, order);
        const mean = order.reduce((sum, knife) => sum + block.heights[knife]!, 0) / order.length;
        order.forEach((knife, i) => {
          expect(Math.abs(heights[i]! - (block.heights[knife]! - mean))).toBeLessThan(1e-9);
        });
        expect(gaps.reduce((sum, gap) => sum + gap, 0)).toBeCloseTo(block.period, 9);
      }),
      { numRuns: 400 },
    );
  });

  it('change with ridges and period as the derivatives say', () => {
    fc.assert(
      fc.property(blocks, fc.nat(11), (block, start) => {
        const surface = surfaceOf(block);
        const { order, positions } = readFrom(surface, block.period, start % surface.marks.length);
        // Ridges a little off, as they are read: the derivatives must hold there too.
        const at = [...positions.map((y, i) => y + 0.01 * Math.sin(7 * i)), block.period];
        const heightsAt = (values: readonly number[]) =>
          heightsOfMarks(block.machine, values.slice(0, -1), values.at(-1)!, order).heights;
        const { jacobian } = heightsOfMarks(block.machine, at.slice(0, -1), block.period, order);
        expect(jacobian).toHaveLength(order.length);
        at.forEach((_, j) => {
          const step = 1e-4;
          const [up, down] = [step, -step].map((by) =>
            heightsAt(at.map((value, k) => (k === j ? value + by : value))),
          );
          order.forEach((__, i) => {
            const slope = (up![i]! - down![i]!) / (2 * step);
            expect(Math.abs(jacobian[i]![j]! - slope)).toBeLessThan(1e-6 * (1 + Math.abs(slope)));
          });
        });
      }),
      { numRuns: 150 },
    );
  });

  it('do not change when all ridges move, and add up to nothing', () => {
    fc.assert(
      fc.property(blocks, (block) => {
        const { order, positions } = readFrom(surfaceOf(block), block.period, 0);
        const { heights, jacobian } = heightsOfMarks(block.machine, positions, block.period, order);
        expect(heights.reduce((sum, height) => sum + height, 0)).toBeCloseTo(0, 10);
        for (const row of jacobian) {
          const moved = row.slice(0, -1).reduce((sum, slope) => sum + slope, 0);
          expect(Math.abs(moved)).toBeLessThan(1e-9);
        }
      }),
      { numRuns: 100 },
    );
  });

  it('are those of three marks whose widths were worked out by hand', () => {
    // w_k = p + (R/p)(2h_k − h_k−1 − h_k+1), here p + 3·(R/p)·h_k since heights add up to nothing;
    // p = 1 and R = 60 + 3/π, the trochoid's.
    const machine = {
      ...benchMachine(),
      block: { ...benchMachine().block, knives: ['1', '2', '3'] },
    };
    const radius = 60 + 3 / Math.PI;
    const h = [0.001, -0.0015, 0.0005];
    const widths = h.map((_, k) => 1 + radius * 3 * h[k]!);
    const { heights } = heightsOfMarks(
      machine,
      [0, widths[0]!, widths[0]! + widths[1]!],
      3,
      [0, 1, 2],
    );
    h.forEach((height, k) => {
      expect(heights[k]).toBeCloseTo(height, 12);
    });
  });
});

describe('knives that are not among the marks', () => {
  it('are hidden by what hides them in the surface', () => {
    fc.assert(
      fc.property(blocks, (block) => {
        const surface = surfaceOf(block);
        const feed = feedAt(block.machine, block.period);
        const { order } = readFrom(surface, block.period, 0);
        const found = hiddenMarks(feed, order);
        expect(found.map(({ knife }) => knife).sort()).toEqual(
          surface.hidden.map(({ knife }) => knife).sort(),
        );
        for (const { knife, before: from, after: to, share, depth } of found) {
          const theirs = surface.hidden.find((each) => each.knife === knife)!;
          expect([from, to]).toEqual([theirs.before, theirs.after]);
          const line = (1 - share) * block.heights[from]! + share * block.heights[to]!;
          expect(line - depth).toBeCloseTo(theirs.atMost, 10);
        }
      }),
      { numRuns: 300 },
    );
  });

  it('show by as much as they stand above their bound', () => {
    let compared = 0;
    fc.assert(
      fc.property(blocks, fc.double({ min: 0.05, max: 0.4, noNaN: true }), (block, width) => {
        const feed = feedAt(block.machine, block.period);
        const surface = surfaceOf(block);
        // One hidden knife alone is lifted until its mark has the width.
        for (const hidden of surface.hidden.slice(0, 2)) {
          const [own] = hiddenMarks(feed, readFrom(surface, block.period, 0).order).filter(
            ({ knife }) => knife === hidden.knife,
          );
          const wanted = (width * block.period) / block.heights.length;
          const lifted = block.heights.map((height, k) =>
            k === hidden.knife ? hidden.atMost + wanted * own!.perWidth : height,
          );
          const { marks } = planedSurface(lifted, feed);
          const before = surface.marks.length;
          // Where lifting it hides a neighbour, widths are others.
          if (marks.length !== before + 1) continue;
          const { from, to } = marks.find(({ knife }) => knife === hidden.knife)!;
          expect(to - from).toBeCloseTo(wanted, 8);
          compared++;
        }
      }),
      { numRuns: 400 },
    );
    expect(compared).toBeGreaterThan(50);
  });
});

/** All orders of so many different knives that go once round the block. */
function bruteForce(knives: number, known: readonly (number | null)[]): MarkOrder[] {
  const found: number[][] = [];
  const all = (order: number[]) => {
    if (order.length === known.length) {
      let round = 0;
      order.forEach((knife, i) => {
        const next = order[(i + 1) % order.length]!;
        round += ((next - knife + knives - 1) % knives) + 1;
      });
      if (round === knives) found.push(order);
      return;
    }
    for (let knife = 0; knife < knives; knife++) {
      const wanted = known[order.length] ?? null;
      if (wanted === null || wanted === knife) all([...order, knife]);
    }
  };
  all([]);
  return found;
}

describe('orders of marks that labels leave possible', () => {
  const sorted = (orders: readonly MarkOrder[]) => orders.map((order) => order.join()).sort();

  it('are all that go once round the block', () => {
    const cases = fc.integer({ min: 1, max: 6 }).chain((knives) =>
      fc.record({
        knives: fc.constant(knives),
        known: fc.integer({ min: 1, max: knives }).chain((marks) =>
          fc.array(fc.option(fc.nat(knives - 1), { freq: 2 }), {
            minLength: marks,
            maxLength: marks,
          }),
        ),
      }),
    );
    fc.assert(
      fc.property(cases, ({ knives, known }) => {
        expect(sorted(possibleOrders(knives, known, 10_000)!)).toEqual(
          sorted(bruteForce(knives, known)),
        );
      }),
      { numRuns: 300 },
    );
  });

  it('are as many as ways to choose knives, times where the row begins', () => {
    // Of 6 knives 3: 20 ways, each of which begins with any of its three.
    expect(possibleOrders(6, [null, null, null], 1000)).toHaveLength(60);
    expect(possibleOrders(6, [2, null, null], 1000)).toHaveLength(10);
    expect(possibleOrders(4, [null, null, 1, null], 1000)).toEqual([[3, 0, 1, 2]]);
  });

  it('are not listed where there are more than wanted', () => {
    expect(possibleOrders(6, [null, null, null], 60)).toHaveLength(60);
    expect(possibleOrders(6, [null, null, null], 59)).toBeNull();
    expect(
      possibleOrders(
        24,
        Array.from({ length: 12 }, () => null),
        20_000,
      ),
    ).toBeNull();
  });

  it('are none where labels go the wrong way or twice', () => {
    expect(possibleOrders(3, [2, 1, 0], 10)).toEqual([]);
    expect(possibleOrders(3, [1, null, 1], 10)).toEqual([]);
    expect(possibleOrders(4, [0, 3, 2], 10)).toEqual([]);
  });
});
