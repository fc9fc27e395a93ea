import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type FedMachine, fedMachine } from '../../src/pipeline/fed-machine.js';
import { foretellMarks } from '../../src/pipeline/foretell-marks.js';
import type { Wish } from '../../src/pipeline/wanted-feeds.js';
import type { MarksReport } from '../../src/record/marks.js';
import type { Result } from '../../src/record/result.js';
import { marksFaults } from '../cli/marks-contract.js';
import { benchMachine } from '../machines.js';

/** A machine that feeds `pitch` mm a knife, its arcs of the radius given at that feed. */
function machineOf(knives: number, pitch = 1, radius = 62.5, angles: number[] | null = null) {
  const bench = benchMachine();
  const speed = 5000;
  const machine = benchMachine({
    block: {
      ...bench.block,
      speed,
      angles,
      knives: Array.from({ length: knives }, (_, k) => `K${k}`),
      cuttingDiameter: 2 * (radius - (knives * pitch) / Math.PI),
    },
    feedSpeed: pitch * knives * speed,
  });
  return fedMachine(machine, 'machine.toml', undefined).fed!;
}

interface Measured {
  readonly value: number;
  readonly u: number;
}

/** A result of a machine: each knife's front, back and middle, known apart from each other. */
function resultOf(
  machine: FedMachine,
  knives: readonly (readonly [Measured | null, Measured | null, (Measured | null)?])[],
  xs: readonly number[],
  freedom: number | null = null,
) {
  const [front, back] = machine.adjusters.at;
  const ids = machine.block.knives;
  const all = ids.flatMap((id, k) =>
    ['front', 'back', 'middle'].map((name, i) => ({ name: `${id} ${name}`, of: knives[k]![i] })),
  );
  const known = all.filter(({ of }) => of);
  const end = (name: string, x: number | undefined, of: Measured | null) => ({
    name,
    x,
    offset: of?.value ?? null,
    u: of?.u ?? null,
  });
  const result = {
    machine: { name: machine.name, knives: ids },
    fitted: xs.map((x) => ({ x })),
    fit: { readingSdFreedom: freedom },
    knives: ids.map((id, k) => {
      const [f, b, m] = knives[k]!;
      const middle = { value: m?.value ?? null, u: m?.u ?? null };
      return { id, middle, ends: [end('front', front, f), end('back', back, b)] };
    }),
    covariance: {
      of: known.map(({ name }) => name),
      matrix: known.map((a) => known.map((b) => (a === b ? a.of!.u ** 2 : 0))),
    },
  };
  return { name: 'first.json', result: result as unknown as Result };
}

/** As good as exact: no u is 0. */
const exactly = (value: number): Measured => ({ value, u: 1e-12 });
const straight = (value: number) => [exactly(value), exactly(value)] as const;

/** The wholes of a report, so that the promises of all reports can be held against it. */
function reportOf(
  machine: FedMachine,
  ...rest: Parameters<typeof resultOf> extends [unknown, ...infer R] ? R : never
) {
  return foretellMarks(machine, resultOf(machine, ...rest), []);
}

function faultsOf(foretold: ReturnType<typeof foretellMarks>): string[] {
  const report: MarksReport = { schema: 'proofboard/marks@1', ...foretold, reading: null };
  return marksFaults(JSON.parse(JSON.stringify(report)));
}

/** Ridge height and showing knives of a surface looked at place by place. */
function lookAt(machine: FedMachine, heights: readonly number[], feedSpeed: number) {
  const period = feedSpeed / machine.block.speed;
  const radius = machine.block.cuttingDiameter / 2 + period / Math.PI;
  const places = 20_000;
  let crest = -Infinity;
  const shown = new Set<number>();
  for (let place = 0; place < places; place++) {
    let [lowest, whose] = [Infinity, -1];
    heights.forEach((height, k) => {
      for (let turn = -2; turn <= 2; turn++) {
        const at =
          (turn + (machine.block.angles?.[k] ?? (360 * k) / heights.length) / 360) * period;
        const arc = ((place * period) / places - at) ** 2 / (2 * radius) - height;
        if (arc < lowest) [lowest, whose] = [arc, k];
      }
    });
    crest = Math.max(crest, lowest);
    shown.add(whose);
  }
  return { ridge: crest + Math.max(...heights), shown };
}

describe('the finish of a result’s knives', () => {
  // Parabola of R = 62.5, two knives, a pitch of 1 mm: worked out by hand from where the arcs meet.
  it.each([
    { low: 0, mark: 1, ridge: 2 },
    { low: 1, mark: 0.875, ridge: 2.53125 },
    { low: 2, mark: 0.75, ridge: 3.125 },
    { low: 4, mark: 0.5, ridge: 4.5 },
    { low: 8, mark: null, ridge: 8 },
  ])('two knives, one $low µm low', ({ low, mark, ridge }) => {
    const machine = machineOf(2);
    const foretold = reportOf(machine, [straight(0), straight(-low / 1000)], [260]);
    const [station] = foretold.stations;
    expect(faultsOf(foretold)).toEqual([]);
    expect(station!.ridgeHeight).toBeCloseTo(ridge / 1000, 9);
    const width = station!.inOrder.find(({ id }) => id === 'K1')?.width ?? null;
    if (mark === null) expect(width).toBeNull();
    else expect(width).toBeCloseTo(mark, 9);
    expect(station!.hiddenBelow).toBeCloseTo(0.008, 12);
  });

  it('three knives: both low ones are gone at 16 µm, with the bound of each', () => {
    const machine = machineOf(3);
    const finishing = (low: number) =>
      reportOf(machine, [straight(0), straight(-low), straight(-low)], [260]).stations[0]!;
    expect(finishing(0.0159).finishing).toEqual(['K0', 'K1', 'K2']);
    expect(finishing(0.0161).finishing).toEqual(['K0']);
    expect(finishing(0.0161).knives.map(({ atMost }) => atMost)).toEqual([
      null,
      expect.closeTo(-0.016, 9),
      expect.closeTo(-0.016, 9),
    ]);
    expect(finishing(0).oneKnifeBelow).toBeCloseTo(0.016, 12);
  });

  it('a straight knife stands between its ends, a bowed one beside that by 1 − ξ²', () => {
    const machine = machineOf(2, 4);
    const bowed = [exactly(0.01), exactly(0.03), exactly(0.028)] as const;
    const flat = [exactly(0.01), exactly(0.03)] as const;
    const offsets = (knife: readonly [Measured, Measured, Measured?]) =>
      reportOf(machine, [knife, straight(0)], [40, 150, 260, 480]).stations.map(
        // Against the mean of both: half of what the one stands above the other.
        ({ knives }) => 2 * knives[0]!.offset!,
      );
    expect(offsets(flat).map((height) => Number(height.toFixed(9)))).toEqual([
      0.01, 0.015, 0.02, 0.03,
    ]);
    // 0.008 of bow, three quarters of it halfway to the end.
    expect(offsets(bowed).map((height) => Number(height.toFixed(9)))).toEqual([
      0.01, 0.021, 0.028, 0.03,
    ]);
  });

  it('is as sure as the result is: u by hand for two knives known apart', () => {
    const machine = machineOf(2, 4);
    const knife = [
      { value: 0, u: 0.003 },
      { value: 0, u: 0.004 },
    ] as const;
    const bowed = [...knife, { value: 0.001, u: 0.002 }] as const;
    const us = (of: readonly [Measured, Measured, Measured?]) =>
      reportOf(machine, [of, of], [40, 260, 480]).stations.map(({ knives }) => knives[0]!.u!);
    // (a − b)/2 of two equally known ones: u/√2; halfway the ends share, √(9 + 16)/2.
    const expected = [3, 2.5, 4].map((u) => u / 1000 / Math.SQRT2);
    us(knife).forEach((u, i) => {
      expect(u).toBeCloseTo(expected[i]!, 12);
    });
    expect(us(bowed)[1]).toBeCloseTo(0.002 / Math.SQRT2, 12);
  });

  it('expands by Student’s t of the result’s own freedom', () => {
    const machine = machineOf(2, 4);
    const knife = [
      { value: 0, u: 0.001 },
      { value: 0, u: 0.001 },
    ] as const;
    const factor = (freedom: number | null) => {
      const { U, u } = reportOf(machine, [knife, knife], [40], freedom).stations[0]!.knives[0]!;
      return U! / u!;
    };
    // Quantiles of tables: t(0.975) of 10 degrees, and of infinitely many.
    expect(factor(10)).toBeCloseTo(2.228139, 5);
    expect(factor(null)).toBeCloseTo(1.959964, 5);
  });

  it('gives a hidden knife the exact bound and what its neighbours leave open', () => {
    const machine = machineOf(4, 1);
    const known = (value: number): readonly [Measured, Measured] => [
      { value, u: 0.0001 },
      { value, u: 0.0001 },
    ];
    const [station] = reportOf(
      machine,
      [known(0.001), known(-0.05), known(0), known(-0.05)],
      [40],
    ).stations;
    expect(station!.finishing).toEqual(['K0', 'K2']);
    // Between its neighbours, which are their own mean, less g₁g₂/(2R) = 1/125.
    expect(station!.knives[0]!.offset).toBeCloseTo(0.0005, 12);
    expect(station!.knives[1]).toMatchObject({ shows: false, offset: null, u: null });
    expect(station!.knives[1]!.atMost).toBeCloseTo(-0.008, 9);
    const three = reportOf(
      machineOf(6, 1),
      [known(0), known(0), known(-0.05), known(0), known(-0.05), known(-0.05)],
      [40],
    ).stations[0]!;
    // (h₁ + h₃)/2 less the mean of three: weights −1/3, 1/6, 1/6, so u = u₀·√(1/6).
    expect(three.knives[2]!.atMost).toBeCloseTo(-0.008 + 1.644854 * 0.0001 * Math.sqrt(1 / 6), 9);
  });

  it('calls a guess what is one, and nothing else', () => {
    const machine = machineOf(3);
    const known = (value: number): readonly [Measured, Measured] => [
      { value, u: 0.003 },
      { value, u: 0.003 },
    ];
    const notices = (...heights: number[]) =>
      reportOf(machine, heights.map(known), [40, 480]).notices.map(({ code }) => code);
    expect(notices(0.06, -0.03, -0.03)).toEqual([]);
    expect(notices(0.001, 0, -0.001)).toEqual(['marks-are-a-guess']);
    expect(notices(0.01, -0.01, 0)).toEqual(['marks-are-a-guess']);
  });

  it('leaves open what an unknown knife may change, and no more', () => {
    const machine = machineOf(4);
    const foretold = reportOf(
      machine,
      [straight(0.05), straight(-0.05), [exactly(0), null], straight(0)],
      [40, 480],
    );
    expect(faultsOf(foretold)).toEqual([]);
    // At the front its one known end is all that counts.
    expect(foretold.stations.map(({ finishing }) => finishing)).toEqual([['K0'], []]);
    expect(foretold.stations[1]!.knives.map(({ shows }) => shows)).toEqual([
      null,
      false,
      null,
      false,
    ]);
    expect(foretold.notices.map(({ code }) => code)).toEqual(['heights-not-known']);
  });
});

const blocks = fc
  .record({
    heights: fc.array(fc.double({ min: -0.03, max: 0.03, noNaN: true }), {
      minLength: 2,
      maxLength: 6,
    }),
    pitch: fc.double({ min: 0.3, max: 2, noNaN: true }),
    slips: fc.array(fc.double({ min: -8, max: 8, noNaN: true }), { minLength: 6, maxLength: 6 }),
    isEven: fc.boolean(),
  })
  .map(({ heights, pitch, slips, isEven }) => {
    const angles = heights.map((_, k) => (360 * k) / heights.length + (k ? slips[k]! : 0));
    return { heights, machine: machineOf(heights.length, pitch, 60, isEven ? null : angles) };
  });

function wanted(machine: FedMachine, heights: readonly number[], wish: Wish) {
  const foretold = foretellMarks(machine, resultOf(machine, heights.map(straight), [260]), [wish]);
  expect(faultsOf(foretold)).toEqual([]);
  return foretold.wanted[0]!;
}

describe('the feed of a wish, against a surface looked at place by place', () => {
  it('leaves the ridges that were asked for', () => {
    fc.assert(
      fc.property(blocks, fc.double({ min: 0.001, max: 0.05, noNaN: true }), (block, height) => {
        const { feed } = wanted(block.machine, block.heights, {
          wish: 'ridge-height',
          value: height,
        });
        const { ridge } = lookAt(block.machine, block.heights, feed!);
        // No place of the grid is further from the crest than half a step of it.
        expect(Math.abs(ridge - height)).toBeLessThan(1e-3 * height + 1e-6);
      }),
      { numRuns: 15 },
    );
  });

  it('is where the last knife appears', () => {
    fc.assert(
      fc.property(blocks, ({ heights, machine }) => {
        fc.pre(Math.max(...heights) - Math.min(...heights) > 0.001);
        const { feed } = wanted(machine, heights, { wish: 'all-show', value: null });
        expect(lookAt(machine, heights, 1.02 * feed!).shown.size).toBe(heights.length);
        expect(lookAt(machine, heights, 0.98 * feed!).shown.size).toBeLessThan(heights.length);
      }),
      { numRuns: 15 },
    );
  });

  it('two knives e apart: a pitch of √(2(R + P/π)·e)', () => {
    const machine = machineOf(2);
    const { pitch, feed } = wanted(machine, [0, -0.008], { wish: 'all-show', value: null });
    // At a pitch of 1 mm these arcs have R + P/π = 62.5, and 8 µm is just what hides a knife.
    expect(pitch).toBeCloseTo(1, 6);
    expect(feed).toBeCloseTo(10_000, 2);
  });
});

describe('feeds', () => {
  it('are about ten round ones, a quarter to three times the machine’s own, and its own', () => {
    for (const [unit, mm] of [
      ['mm', 1000],
      ['in', 304.8],
    ] as const) {
      const { feeds } = foretellMarks(machineOf(4, 0.62), null, [], unit);
      const own = feeds.filter(({ isOwn }) => isOwn).map(({ feed }) => feed);
      expect(own).toEqual([0.62 * 4 * 5000]);
      const round = feeds.filter(({ isOwn }) => !isOwn).map(({ feed }) => feed / mm);
      expect(round.length).toBeGreaterThanOrEqual(8);
      expect(round.length).toBeLessThanOrEqual(13);
      for (const feed of round) {
        expect(Number(feed.toPrecision(2))).toBeCloseTo(feed, 9);
        expect((feed * mm) / own[0]!).toBeGreaterThanOrEqual(0.25);
        expect((feed * mm) / own[0]!).toBeLessThanOrEqual(3);
      }
    }
  });
});
