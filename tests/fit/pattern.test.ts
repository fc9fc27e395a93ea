import { describe, expect, it } from 'vitest';
import { dot } from '../../src/fit/decomposition.js';
import { findPattern, type RepeatingPattern } from '../../src/fit/pattern.js';
import { type Random, seeded } from '../workshop/random.js';

const SD = 0.05;
const THREE = [1.2, 1.65, 1.15];

interface Row {
  readonly turns?: number;
  readonly sd?: number;
  readonly start?: number;
  /** By what factor the widths of a turn are stretched. */
  readonly stretch?: (turn: number) => number;
}

/** Points that repeat the widths turn by turn, each read with some error. */
function simulate(widths: readonly number[], random: Random, row: Row = {}): number[] {
  const { turns = 10, sd = SD, start = 37, stretch = () => 1 } = row;
  const points: number[] = [];
  let at = start;
  for (let turn = 0; turn < turns; turn++) {
    const factor = stretch(turn);
    for (const width of widths) {
      points.push(at + random.normal(sd));
      at += width * factor;
    }
  }
  return points.sort((a, b) => a - b);
}

const total = (widths: readonly number[]) => widths.reduce((sum, width) => sum + width, 0);

function find(
  points: readonly number[],
  widths: readonly number[],
  most = widths.length,
  off = 1,
): RepeatingPattern {
  const pattern = findPattern(points, { period: total(widths) * off, most, sd: SD, periodSd: 0.1 });
  expect(pattern).not.toBeNull();
  return pattern!;
}

/** The widths that were found, from the slot on in which the first of all points belongs. */
function widthsOf({ phases, period, slots, places }: RepeatingPattern): number[] {
  const widths = phases.map((phase, i) => (phases[i + 1] ?? phases[0]! + period) - phase);
  const first = places[0]!.slot;
  return widths.map((_, i) => widths[(first + i) % slots]!);
}

/** Of each place, how many slots it lies beyond the first point's. */
function stepsOf({ places, slots }: RepeatingPattern): (number | null)[] {
  const along = places.map((place) => place && place.turn * slots + place.slot);
  const first = along.find((at) => at !== null)!;
  return along.map((at) => (at === null ? null : at - first));
}

describe('a repeating pattern', () => {
  it.each([[[4]], [[1.8, 2.2]], [THREE], [[0.9, 1.25, 1, 0.85]], [[2.1, 0.4, 1.5, 1.2, 0.8, 2]]])(
    'of %j is found',
    (widths) => {
      const random = seeded(1);
      const pattern = find(simulate(widths, random), widths, 6);
      expect(pattern.slots).toBe(widths.length);
      expect(pattern.period).toBeCloseTo(total(widths), 1);
      widthsOf(pattern).forEach((width, i) => {
        expect(Math.abs(width - widths[i]!)).toBeLessThan(5 * SD * Math.sqrt(2 / 10));
      });
      expect(pattern.doubled).toEqual([]);
      expect(pattern.missed).toEqual([]);
      // Every point but one a parameter is left to scatter.
      expect(pattern.freedom).toBe(10 * widths.length - widths.length - 1);
      expect(pattern.phases).toEqual([...pattern.phases].sort((a, b) => a - b));
    },
  );

  it('is exact where points are', () => {
    const pattern = find(simulate(THREE, seeded(2), { sd: 0 }), THREE);
    expect(pattern.period).toBeCloseTo(4, 10);
    widthsOf(pattern).forEach((width, i) => {
      expect(width).toBeCloseTo(THREE[i]!, 10);
    });
    expect(pattern.squares).toBeLessThan(1e-18);
  });

  it('is the same far along the board', () => {
    const near = find(simulate(THREE, seeded(3)), THREE);
    const far = find(simulate(THREE, seeded(3), { start: 9037 }), THREE);
    expect(far.period).toBeCloseTo(near.period, 9);
    expect(far.places).toEqual(near.places);
    widthsOf(far).forEach((width, i) => {
      expect(width).toBeCloseTo(widthsOf(near)[i]!, 9);
    });
  });

  it('is told from its multiples by the guess, which may be a fifth off', () => {
    const random = seeded(4);
    for (const off of [0.8, 0.9, 1.1, 1.25]) {
      for (let i = 0; i < 20; i++) {
        const pattern = find(simulate(THREE, random), THREE, 4, off);
        expect(pattern.slots).toBe(3);
        expect(pattern.period).toBeCloseTo(4, 1);
      }
    }
    // Two different pairs a revolution: the pattern that repeats is half of it.
    for (let i = 0; i < 20; i++) {
      const pattern = find(simulate([1.8, 2.2], random, { turns: 20 }), [1.8, 2.2, 1.8, 2.2], 4);
      expect(pattern.slots).toBe(4);
      expect(pattern.period).toBeCloseTo(8, 1);
    }
  });

  it('has no more slots than it needs', () => {
    const random = seeded(5);
    for (let i = 0; i < 40; i++) {
      expect(find(simulate([4], random), [4], 6).slots).toBe(1);
      expect(find(simulate([1.6, 2.4], random), [1.6, 2.4], 6).slots).toBe(2);
    }
  });

  it('is found from little more than a revolution, and not from less', () => {
    const points = simulate(THREE, seeded(6), { turns: 2 });
    const pattern = find(points.slice(0, 4), THREE);
    expect([pattern.slots, pattern.freedom]).toEqual([3, 0]);
    const guess = { period: 4, most: 3, sd: SD, periodSd: 0.1 };
    expect(findPattern(points.slice(0, 3), guess)).toBeNull();
    expect(findPattern([5], guess)).toBeNull();
    expect(findPattern([], guess)).toBeNull();
    // The period is nowhere near the guess.
    expect(findPattern(points, { ...guess, period: 40 })).toBeNull();
  });

  it('of 24 points a turn is found in good time', () => {
    const random = seeded(7);
    const widths = Array.from({ length: 24 }, () => 1 + 0.8 * random.uniform());
    const pattern = find(simulate(widths, random), widths);
    expect(pattern.slots).toBe(24);
  });
});

describe('what people read wrongly', () => {
  it('is named: points missed', () => {
    const random = seeded(10);
    let right = 0;
    for (let i = 0; i < 60; i++) {
      const points = simulate(THREE, random);
      const at = 1 + Math.floor(random.uniform() * (points.length - 2));
      const pattern = find(
        points.filter((_, k) => k !== at),
        THREE,
      );
      expect(pattern.slots).toBe(3);
      expect(pattern.period).toBeCloseTo(4, 1);
      const first = pattern.places[0]!;
      const missed = pattern.missed.map(
        ({ turn, slot }) => (turn - first.turn) * 3 + slot - first.slot,
      );
      if (missed.length === 1 && missed[0] === at) right++;
    }
    expect(right).toBeGreaterThanOrEqual(57);
  });

  it('is named: points doubled', () => {
    const random = seeded(11);
    let right = 0;
    for (let i = 0; i < 60; i++) {
      const points = simulate(THREE, random);
      const at = 1 + Math.floor(random.uniform() * (points.length - 2));
      const again = points[at]! + 0.05 * (2 * random.uniform() - 1);
      const all = [...points, again].sort((a, b) => a - b);
      const pattern = find(all, THREE);
      expect(pattern.slots).toBe(3);
      const out = pattern.places.flatMap((place, k) => (place ? [] : [k]));
      // Which of the two belongs, nobody knows.
      const either = out.every((k) => all[k] === again || all[k] === points[at]);
      if (out.length === 1 && either && pattern.doubled.length === 1) right++;
    }
    expect(right).toBeGreaterThanOrEqual(54);
  });

  it('is named: points misplaced', () => {
    const random = seeded(12);
    let right = 0;
    for (let i = 0; i < 60; i++) {
      const points = simulate(THREE, random);
      const at = 1 + Math.floor(random.uniform() * (points.length - 2));
      points[at]! += random.pick([-0.5, 0.5]);
      const pattern = find(points, THREE);
      expect(pattern.slots).toBe(3);
      const out = pattern.places.flatMap((place, k) => (place ? [] : [k]));
      if (out.length === 1 && out[0] === at && pattern.doubled.length === 0) right++;
    }
    expect(right).toBeGreaterThanOrEqual(56);
  });

  it('does not pull the pattern, all of it together', () => {
    const random = seeded(13);
    let right = 0;
    for (let i = 0; i < 60; i++) {
      const points = simulate(THREE, random, { turns: 12 })
        .filter(() => random.uniform() > 0.05)
        .flatMap((y) => (random.uniform() < 0.05 ? [y, y + 0.05 * random.uniform()] : [y]));
      points[Math.floor(random.uniform() * points.length)]! += 0.5;
      const sorted = points.sort((a, b) => a - b);
      const { slots, phases, period } = find(sorted, THREE);
      const widths = phases.map((phase, k) => (phases[k + 1] ?? phases[0]! + period) - phase);
      // The largest width is one alone, so it tells where the pattern begins.
      const largest = widths.indexOf(Math.max(...widths));
      const off = THREE.map((width, k) => Math.abs(widths[(largest + k + 2) % 3]! - width));
      if (slots === 3 && Math.max(Math.abs(period - 4), ...off) < 0.12) right++;
    }
    expect(right).toBeGreaterThanOrEqual(58);
  });

  it('keeps every point either in a place of its own or out', () => {
    const random = seeded(14);
    for (let i = 0; i < 40; i++) {
      const points = simulate(THREE, random, { sd: 0.15 });
      const steps = stepsOf(find(points, THREE)).filter((step) => step !== null);
      expect(new Set(steps).size).toBe(steps.length);
      expect(steps).toEqual([...steps].sort((a, b) => a - b));
    }
  });
});

describe('an uneven feed', () => {
  it('is seldom seen where there is none', () => {
    const random = seeded(20);
    let seen = 0;
    for (let i = 0; i < 400; i++) {
      if (find(simulate(THREE, random), THREE).isUneven) seen++;
    }
    // One in a hundred by chance.
    expect(seen).toBeLessThanOrEqual(12);
  });

  it('is seen where turns grow or the board stood still, and the pattern stands', () => {
    const random = seeded(21);
    const stretches = [
      (turn: number) => 1 + 0.01 * turn,
      (turn: number) => 1.03 - 0.005 * turn,
      (turn: number) => (turn === 4 ? 0.75 : 1),
    ];
    for (const stretch of stretches) {
      let seen = 0;
      for (let i = 0; i < 20; i++) {
        const pattern = find(simulate(THREE, random, { turns: 12, stretch }), THREE);
        // A board that stood still within a turn now and then hides the pattern itself.
        if (pattern.slots !== 3) continue;
        if (pattern.isUneven) seen++;
        const widths = widthsOf(pattern);
        expect(Math.abs(widths[1]! - THREE[1]!)).toBeLessThan(0.17);
      }
      expect(seen).toBeGreaterThanOrEqual(15);
    }
  });
});

describe('the factors of a pattern', () => {
  it('are what phases and period scatter by over 2000 rows', () => {
    const random = seeded(30);
    const turns = 8;
    let counted = 0;
    const phases = [0, 0, 0];
    let product = 0;
    let period = 0;
    let factors: RepeatingPattern | null = null;
    for (let i = 0; i < 2000; i++) {
      const pattern = find(simulate(THREE, random, { turns }), THREE);
      // Where one was set aside or a turn stands by itself, the factors are others.
      if (pattern.isUneven || pattern.places.includes(null) || pattern.places[0]!.slot !== 0) {
        continue;
      }
      factors ??= pattern;
      counted++;
      const off = [0, 1, 2].map(
        (k) => pattern.phases[k]! - pattern.phases[0]! - [0, 1.2, 2.85][k]!,
      );
      off.forEach((value, k) => {
        phases[k]! += value ** 2;
      });
      product += off[1]! * off[2]!;
      period += (pattern.period - 4) ** 2;
    }
    expect(counted).toBeGreaterThan(400);
    const { phaseFactors, periodFactor } = factors!;
    // A variance from n rows is known to √(2/n) of itself.
    const within = 4 * Math.sqrt(2 / counted);
    const variance = (a: Float64Array, b: Float64Array) => SD ** 2 * dot(a, b);
    for (const k of [1, 2]) {
      const ratio = phases[k]! / counted / variance(phaseFactors[k]!, phaseFactors[k]!);
      expect(Math.abs(ratio - 1)).toBeLessThan(within);
    }
    expect(
      Math.abs(product / counted / variance(phaseFactors[1]!, phaseFactors[2]!) - 1),
    ).toBeLessThan(2 * within);
    expect(Math.abs(period / counted / variance(periodFactor, periodFactor) - 1)).toBeLessThan(
      within,
    );
    // Against the first slot, so nothing of that itself.
    expect(dot(phaseFactors[0]!, phaseFactors[0]!)).toBeLessThan(1e-20);
  }, 20_000);
});
