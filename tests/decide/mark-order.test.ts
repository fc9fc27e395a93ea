import { describe, expect, it } from 'vitest';
import { contrastFactor, orderAgreement } from '../../src/decide/mark-order.js';
import type { HeightsBefore } from '../../src/decide/told-heights.js';
import { dot } from '../../src/fit/decomposition.js';
import { findPattern, type RepeatingPattern } from '../../src/fit/pattern.js';
import { lowerTriangle } from '../../src/fit/triangle.js';
import type { Machine } from '../../src/machine/machine.js';
import { feedAt } from '../../src/model/feed.js';
import { heightsOfMarks, type MarkOrder, possibleOrders } from '../../src/model/marks.js';
import { planedSurface } from '../../src/model/surface.js';
import { benchMachine } from '../machines.js';
import { type Random, seeded } from '../workshop/random.js';

const RIDGE_SD = 0.05;
/** Marks narrower than this are not told apart by eye. */
const NARROWEST = 0.3;

/** An invented machine with so many knives and so much feed a knife, mm. */
function machineOf(
  knives: number,
  pitch: number,
  angles: readonly number[] | null = null,
): Machine {
  const bench = benchMachine();
  const ids = Array.from({ length: knives }, (_, k) => String(k + 1));
  return {
    ...bench,
    feedSpeed: pitch * knives * bench.block.speed!,
    block: { ...bench.block, knives: ids, angles },
  };
}

interface Read {
  readonly pattern: RepeatingPattern;
  readonly truth: MarkOrder;
}

/** Ten revolutions of ridges read along a board that begins anywhere; null where marks are too narrow. */
function readBoard(machine: Machine, heights: readonly number[], random: Random): Read | null {
  const knives = heights.length;
  const period = machine.feedSpeed! / machine.block.speed!;
  const { marks, ridges } = planedSurface(heights, feedAt(machine, period));
  if (marks.some(({ from, to }) => to - from < NARROWEST)) return null;
  const all = Array.from({ length: 12 }, (_, turn) =>
    ridges.map(({ y, after }) => ({ y: y + turn * period, after })),
  ).flat();
  const start = Math.floor(random.uniform() * marks.length);
  const seen = all.slice(start, start + 10 * marks.length);
  const read = seen
    .map(({ y, after }) => ({ after, y: y + random.normal(RIDGE_SD) }))
    .sort((a, b) => a.y - b.y);
  const pattern = findPattern(
    read.map(({ y }) => y),
    { period, periodSd: 0.1, most: knives, sd: RIDGE_SD },
  );
  if (!pattern || pattern.slots !== marks.length) return null;
  const first = read[pattern.places.findIndex((place) => place?.slot === 0)]!.after;
  const order = marks.map(({ knife }) => knife);
  const at = order.indexOf(first);
  return { pattern, truth: [...order.slice(at), ...order.slice(0, at)] };
}

/** The likeliest of all orders, and its probability among them. */
function likeliest(machine: Machine, { pattern }: Read, before: HeightsBefore) {
  const none = Array.from({ length: pattern.slots }, () => null);
  const orders = possibleOrders(machine.block.knives.length, none, 1000)!;
  const judged = orders.map((order) => ({
    order,
    ...orderAgreement(machine, pattern, RIDGE_SD, order, before),
  }));
  const best = judged.reduce((a, b) => (b.log > a.log ? b : a));
  const total = judged.reduce((sum, { log }) => sum + Math.exp(log - best.log), 0);
  return { ...best, probability: 1 / total };
}

describe('whose the marks are by heights that are known', () => {
  it.each([
    { knives: 2, pitch: 2, spread: 0.02, u: 0.01, angles: null, freedom: Infinity },
    { knives: 3, pitch: 4 / 3, spread: 0.008, u: 0.003, angles: null, freedom: Infinity },
    { knives: 4, pitch: 2, spread: 0.02, u: 0.005, angles: null, freedom: 8 },
    { knives: 4, pitch: 1, spread: 0.02, u: 0.004, angles: [0, 80, 170, 270], freedom: Infinity },
  ])(
    'is right at least 99 times in 100 where it is called so sure: $knives knives, u $u',
    (design) => {
      const { knives, pitch, spread, u, angles, freedom } = design;
      const machine = machineOf(knives, pitch, angles);
      const random = seeded(2026 + knives);
      let [sure, right, likely, read] = [0, 0, 0, 0];
      for (let i = 0; i < 240; i++) {
        const told = Array.from({ length: knives }, () => random.normal(spread));
        // Student's t: one scale for all knives, as one fit gives it.
        const squares = Array.from({ length: 8 }, () => random.normal(1) ** 2);
        const scale = freedom === 8 ? Math.sqrt(8 / squares.reduce((a, b) => a + b)) : 1;
        const board = readBoard(
          machine,
          told.map((height) => height + scale * random.normal(u)),
          random,
        );
        if (!board) continue;
        read++;
        const before = {
          heights: told,
          factors: told.map((_, k) => new Float64Array(knives).map((__, j) => (j === k ? u : 0))),
          degreesOfFreedom: freedom,
        };
        const { order, probability, pValue } = likeliest(machine, board, before);
        const isRight = order.join() === board.truth.join();
        if (isRight) likely += 1;
        if (probability < 0.99 || pValue < 1e-4) continue;
        sure++;
        if (isRight) right++;
      }
      expect(read).toBeGreaterThan(100);
      expect(sure).toBeGreaterThan(read / 5);
      expect(sure - right).toBeLessThanOrEqual(Math.max(1, 0.01 * sure));
      expect(likely).toBeGreaterThan(0.7 * read);
    },
  );

  it('cannot be told where nothing is known of evenly spaced knives', () => {
    const random = seeded(5);
    const machine = machineOf(3, 4 / 3);
    const board = readBoard(machine, [0.002, -0.003, 0.001], random)!;
    const before = {
      heights: [0, 0, 0],
      factors: [0, 1, 2].map((k) => new Float64Array(3).map((_, j) => (j === k ? 0.2 : 0))),
      degreesOfFreedom: Infinity,
    };
    const none = [null, null, null];
    const logs = possibleOrders(3, none, 10)!.map(
      (order) => orderAgreement(machine, board.pattern, RIDGE_SD, order, before).log,
    );
    expect(logs).toHaveLength(3);
    expect(Math.max(...logs) - Math.min(...logs)).toBeLessThan(0.01);
  });

  it('finds no order to go with heights that are quite others', () => {
    const random = seeded(6);
    const machine = machineOf(3, 4 / 3);
    const board = readBoard(machine, [0.004, -0.004, 0], random)!;
    const heightsOf = (heights: number[]) => ({
      heights,
      factors: heights.map((_, k) => new Float64Array(3).map((__, j) => (j === k ? 5e-4 : 0))),
      degreesOfFreedom: Infinity,
    });
    expect(likeliest(machine, board, heightsOf([0.004, -0.004, 0])).pValue).toBeGreaterThan(0.001);
    expect(likeliest(machine, board, heightsOf([0.03, -0.02, 0.01])).pValue).toBeLessThan(1e-6);
  });

  it('does not mind in which knife’s name the block’s list begins', () => {
    const random = seeded(7);
    const machine = machineOf(4, 2);
    const heights = [0.006, -0.004, 0.001, -0.003];
    const board = readBoard(machine, heights, random)!;
    const turnedBy = (shift: number) => ({
      heights: heights.map((_, k) => heights[(k + shift) % 4]! + 0.0005 * ((k + shift) % 4)),
      factors: heights.map((_, k) => new Float64Array(4).map((__, j) => (j === k ? 0.002 : 0))),
      degreesOfFreedom: 12,
    });
    const order = [2, 3, 0, 1];
    const { log } = orderAgreement(machine, board.pattern, RIDGE_SD, order, turnedBy(0));
    const turned = order.map((knife) => (knife + 4 - 1) % 4);
    const again = orderAgreement(machine, board.pattern, RIDGE_SD, turned, turnedBy(1));
    expect(again.log).toBeCloseTo(log, 8);
  });
});

describe('the factors of what marks say', () => {
  it('have the covariance of heights worked out from ridges that scatter', () => {
    const random = seeded(8);
    const machine = machineOf(3, 4 / 3);
    const order = [0, 1, 2];
    const heights = [0.004, -0.004, 0];
    const sums = { first: 0, second: 0, both: 0, count: 0 };
    let factors: readonly Float64Array[] = [];
    for (let i = 0; i < 500; i++) {
      const board = readBoard(machine, heights, random)!;
      if (board.pattern.isUneven || board.pattern.places.includes(null)) continue;
      if (board.truth[0] !== 0) continue;
      const marks = heightsOfMarks(machine, board.pattern.phases, board.pattern.period, order);
      factors = [1, 2].map((mark) => contrastFactor(marks, board.pattern, mark));
      const [a, b] = [1, 2].map(
        (k) => marks.heights[k]! - marks.heights[0]! - (heights[k]! - heights[0]!),
      );
      sums.first += a! ** 2;
      sums.second += b! ** 2;
      sums.both += a! * b!;
      sums.count++;
    }
    const within = 4 * Math.sqrt(2 / sums.count);
    const [first, second] = factors;
    const variance = (a: Float64Array, b: Float64Array) => sums.count * RIDGE_SD ** 2 * dot(a, b);
    expect(sums.count).toBeGreaterThan(100);
    expect(Math.abs(sums.first / variance(first!, first!) - 1)).toBeLessThan(within);
    expect(Math.abs(sums.second / variance(second!, second!) - 1)).toBeLessThan(within);
    expect(Math.abs(sums.both / variance(first!, second!) - 1)).toBeLessThan(2 * within);
  });

  it('are made triangular without a change of covariance', () => {
    const random = seeded(9);
    for (const [count, columns] of [
      [1, 1],
      [3, 3],
      [4, 9],
      [2, 30],
    ] as const) {
      const rows = Array.from({ length: count }, () =>
        Float64Array.from({ length: columns }, () => random.normal(1)),
      );
      const lower = lowerTriangle(rows);
      rows.forEach((a, i) => {
        expect(lower[i]).toHaveLength(i + 1);
        rows.forEach((b, j) => {
          const again = Array.from(
            { length: Math.min(i, j) + 1 },
            (_, k) => lower[i]![k]! * lower[j]![k]!,
          );
          expect(again.reduce((x, y) => x + y)).toBeCloseTo(dot(a, b), 9);
        });
      });
    }
    expect(lowerTriangle([])).toEqual([]);
  });
});
