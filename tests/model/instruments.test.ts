import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { CarryReading, GaugeReading } from '../../src/boards/instrument-reading.js';
import type { Reading } from '../../src/boards/reading.js';
import { Decomposition, dot } from '../../src/fit/decomposition.js';
import { solveLinear } from '../../src/fit/least-squares.js';
import {
  type InstrumentReadings,
  type MarksRow,
  NO_INSTRUMENTS,
  referencesOf,
} from '../../src/model/instruments.js';
import { knifeHeights, type Layout } from '../../src/model/layout.js';
import { bodyCombinations, difference, offset } from '../../src/model/quantities.js';
import { type TestCutModel, testCutModel } from '../../src/model/test-cut.js';
import { benchMachine } from '../machines.js';
import { type Random, seeded } from '../workshop/random.js';

const machine = benchMachine();
const KNIVES = ['1', '2', '3', '4'];
const STATIONS = [40, 150, 260, 370, 480];

function gauge(knife: string, x: number, reading = 0, zero: string | null = null): GaugeReading {
  return { file: 'g.csv', line: 2, knife, x, reading, zero };
}

function carry(knife: string, x: number, length: number): CarryReading {
  return { file: 'c.csv', line: 2, knife, x, carry: length };
}

function modelOf(
  instruments: Partial<InstrumentReadings>,
  readings: readonly Reading[] = [],
): TestCutModel {
  return testCutModel(
    machine,
    { readings, scoops: [], instruments: { ...NO_INSTRUMENTS, ...instruments } },
    'foretold',
  );
}

/** An invented block of four knives, each with a slant and a bow, that add up to nothing. */
function truth(random: Random) {
  const shapes = KNIVES.map(() => ({
    height: random.normal(0.03),
    slant: random.normal(0.03),
    bow: random.normal(0.01),
  }));
  const mean = (of: (shape: (typeof shapes)[0]) => number) =>
    shapes.reduce((sum, shape) => sum + of(shape), 0) / shapes.length;
  return (knife: number, x: number) => {
    const at = (x - 260) / 220;
    const { height, slant, bow } = shapes[knife]!;
    return (
      height -
      mean((s) => s.height) +
      at * (slant - mean((s) => s.slant)) +
      (1 - at ** 2) * (bow - mean((s) => s.bow))
    );
  };
}

/** Offsets at the front, in the middle and at the back from the rows of instruments alone. */
function offsetsOf(model: TestCutModel): (number | null)[] {
  const { layout } = model;
  const design = model.rows.map(({ combination }) => combination);
  const { solution } = solveLinear(
    design,
    model.rows.map(({ value }) => value),
  );
  const determined = Decomposition.of(design, layout.size);
  return [40, 260, 480].flatMap((x) =>
    KNIVES.map((_, knife) => {
      const combination = offset(layout, [0, 1, 2, 3], knife, x);
      return determined.determines(combination) ? dot(combination, solution) : null;
    }),
  );
}

const trueOffsets = (height: ReturnType<typeof truth>) =>
  [40, 260, 480].flatMap((x) => KNIVES.map((_, knife) => height(knife, x)));

function expectOffsets(found: readonly (number | null)[], wanted: readonly number[]): void {
  found.forEach((value, i) => {
    expect(value).not.toBeNull();
    expect(value).toBeCloseTo(wanted[i]!, 9);
  });
}

describe('rows of instruments', () => {
  const marks: MarksRow = {
    x: 200,
    terms: [
      { knife: 0, weight: 1 },
      { knife: 2, weight: -0.25 },
      { knife: 3, weight: -0.75 },
    ],
    value: 0.002,
    scale: 0.01,
  };
  const everything: Partial<InstrumentReadings> = {
    gauge: [
      ...STATIONS.flatMap((x) => KNIVES.map((knife) => gauge(knife, x, 0.01, 'a'))),
      ...STATIONS.map((x) => gauge('body', x, -0.9, 'a')),
      gauge('1', 40, 0, null),
    ],
    carry: STATIONS.flatMap((x) => KNIVES.map((knife) => carry(knife, x, 5))),
    marks: [marks],
  };

  it('have the derivatives of their values', () => {
    const model = modelOf(everything);
    const { size } = model.layout;
    const values = fc.array(fc.double({ min: -1, max: 1, noNaN: true }), {
      minLength: size,
      maxLength: size,
    });
    fc.assert(
      fc.property(values, (at) => {
        model.rows.forEach((_, index) => {
          const gradient = model.gradient(Float64Array.from(at), index);
          for (let j = 0; j < size; j++) {
            const moved = [1e-3, -1e-3].map((step) =>
              model.predict(
                Float64Array.from(at, (value, k) => (k === j ? value + step : value)),
                index,
              ),
            );
            expect(gradient[j]).toBeCloseTo((moved[0]! - moved[1]!) / 2e-3, 8);
          }
        });
      }),
      { numRuns: 5 },
    );
  });

  it('come in the order gauge, carry, marks, each with the knives that it tells of', () => {
    const { rows, kinds } = modelOf(everything);
    expect(kinds).toEqual(['thickness', 'gauge', 'carry', 'marks']);
    expect(rows.map(({ kind }) => kind)).toEqual([
      ...Array.from({ length: 26 }, () => 'gauge'),
      ...Array.from({ length: 20 }, () => 'carry'),
      'marks',
    ]);
    expect(rows[0]!.knives).toEqual([0]);
    expect(rows[20]!.knives).toEqual([]);
    expect(rows[46]!.knives).toEqual([0, 2, 3]);
    expect(rows[46]!.scale).toBe(0.01);
    expect(rows[46]!.source).toBeNull();
  });

  it('of marks are the sums of heights that they say', () => {
    const { layout, rows } = modelOf(everything);
    const random = seeded(3);
    const parameters = Array.from({ length: layout.size }, () => random.normal(1));
    const heights = knifeHeights(layout, parameters, 200);
    const sum = heights[0]! - 0.25 * heights[2]! - 0.75 * heights[3]!;
    expect(dot(rows[46]!.combination, parameters)).toBeCloseTo(sum, 12);
  });
});

describe('a gauge', () => {
  const readWith = (
    height: ReturnType<typeof truth>,
    zero: number,
    slope: number,
    crown: number,
    name: string | null = null,
    xs: readonly number[] = STATIONS,
  ) =>
    xs.flatMap((x) =>
      KNIVES.map((knife, k) => {
        const at = (x - 260) / 220;
        const foot = zero + slope * at + crown * (1 - at ** 2);
        return gauge(knife, x, foot + height(k, x), name);
      }),
    );

  it('tells the same heights with any zero, on any slope and crown', () => {
    const random = seeded(11);
    for (let i = 0; i < 10; i++) {
      const height = truth(random);
      const wanted = trueOffsets(height);
      expectOffsets(offsetsOf(modelOf({ gauge: readWith(height, 0, 0, 0) })), wanted);
      const slanted = readWith(height, random.normal(5), random.normal(2), random.normal(0.5));
      expectOffsets(offsetsOf(modelOf({ gauge: slanted })), wanted);
    }
  });

  it('tells them with a zero of its own at each place too', () => {
    const height = truth(seeded(12));
    const rezeroed = STATIONS.flatMap((x, i) => readWith(height, i ** 2, 0, 0, `z${i}`, [x]));
    const model = modelOf({ gauge: rezeroed });
    // A zero a place leaves no slope to be told.
    expect(model.layout.references).toEqual(STATIONS.map((_, i) => `zero "z${i}"`));
    expectOffsets(offsetsOf(model), trueOffsets(height));
  });

  it('does not compare knives that share no zero, but how they slant', () => {
    const height = truth(seeded(13));
    const apart = readWith(height, 0, 0, 0).map((reading) => ({
      ...reading,
      zero: reading.knife < '3' ? 'a' : 'b',
    }));
    const model = modelOf({ gauge: apart });
    expect(offsetsOf(model).every((value) => value === null)).toBe(true);
    const { layout, rows } = model;
    const determined = Decomposition.of(
      rows.map(({ combination }) => combination),
      layout.size,
    );
    expect(determined.determines(difference(layout, 0, 1, 40))).toBe(true);
    expect(determined.determines(difference(layout, 0, 2, 40))).toBe(false);
    const back = difference(layout, 0, 2, 480);
    const slant = difference(layout, 0, 2, 40).map((value, j) => back[j]! - value);
    expect(determined.determines(slant)).toBe(true);
  });

  it('told of the body says how bed and knives lie to it', () => {
    const random = seeded(14);
    const height = truth(random);
    const [zero, tilt, depth, slant] = [0.4, 0.3, 1.1, -0.05];
    // The gauge stands on the bed: its foot rises by the tilt over the span; the knives' mean
    // stands out of the body by depth, and by slant more at the back.
    const foot = (x: number) => zero + (tilt * (x - 260)) / 440;
    const readings = [
      ...[40, 480].flatMap((x) =>
        KNIVES.map((knife, k) => gauge(knife, x, foot(x) + height(k, x))),
      ),
      ...[40, 480].map((x) => gauge('body', x, foot(x) - depth - (slant * (x - 260)) / 440)),
    ];
    const model = modelOf({ gauge: readings });
    const { layout } = model;
    expect(layout.references).toEqual(['zero null', 'gauge slope', 'body depth', 'body slope']);
    const body = bodyCombinations(layout, [0, 1, 2, 3])!;
    const fit = solveLinear(
      model.rows.map(({ combination }) => combination),
      model.rows.map(({ value }) => value),
    );
    expect(dot(body.slant, fit.solution)).toBeCloseTo(slant, 9);
    const reference = (name: string) =>
      fit.solution[layout.at.reference + layout.references.indexOf(name)];
    expect(reference('gauge slope')).toBeCloseTo(tilt, 9);
    expect(Math.abs(reference('body depth')!)).toBeCloseTo(depth, 9);
  });
});

describe('a carried rule', () => {
  it('says how far an edge stands above the table: the chord of the cutting circle', () => {
    // The exact rise of a chord c: R − √(R² − c²/4).
    const radius = 60;
    for (const chord of [0.5, 2, 4, 6, 8, 10]) {
      const [row] = modelOf({ carry: [carry('1', 40, chord)] }).rows;
      const exact = radius - Math.sqrt(radius ** 2 - chord ** 2 / 4);
      expect(Math.abs(row!.value - exact)).toBeLessThan(0.5e-3);
      if (chord <= 6) expect(Math.abs(row!.value - exact)).toBeLessThan(0.05e-3);
    }
  });

  it('is as uncertain as a chord read to 0.3 mm makes it', () => {
    const random = seeded(15);
    for (const chord of [0.2, 1, 4, 8]) {
      const [row] = modelOf({ carry: [carry('1', 40, chord)] }).rows;
      const rises = Array.from({ length: 20_000 }, () => (chord + random.normal(0.3)) ** 2 / 480);
      const mean = rises.reduce((sum, rise) => sum + rise, 0) / rises.length;
      const square = rises.reduce((sum, rise) => sum + (rise - mean) ** 2, 0) / rises.length;
      expect((row!.scale * 0.3) / Math.sqrt(square)).toBeCloseTo(1, 1);
    }
  });

  it('tells the same heights on a table at any level, slope and crown', () => {
    const random = seeded(16);
    for (let i = 0; i < 10; i++) {
      const height = truth(random);
      const [level, slope, crown] = [0.3 + 0.1 * random.uniform(), random.normal(0.03), 0.02];
      const readings = STATIONS.flatMap((x) =>
        KNIVES.map((knife, k) => {
          const at = (x - 260) / 220;
          const above = level + slope * at + crown * (1 - at ** 2) + height(k, x);
          return carry(knife, x, Math.sqrt(480 * above));
        }),
      );
      expectOffsets(offsetsOf(modelOf({ carry: readings })), trueOffsets(height));
    }
  });

  it('that does not move says only that an edge is no higher than the table', () => {
    const model = modelOf({ carry: [carry('1', 40, 5), carry('2', 40, 0), carry('3', 40, 4)] });
    expect(model.rows.map(({ knives }) => knives)).toEqual([[0], [2]]);
    const [bound] = model.bounds;
    expect(model.bounds).toHaveLength(1);
    expect([bound!.kind, bound!.knife, bound!.atMost]).toEqual(['not-carried', 1, 0]);
    // Table and edge at the same height: the bound is met exactly.
    const parameters = new Float64Array(model.layout.size);
    parameters[model.layout.at.reference] = 0.01;
    expect(dot(bound!.combination, parameters)).toBeCloseTo(0.01, 12);
  });
});

describe('what instruments are read against', () => {
  const of = (readings: Partial<InstrumentReadings>, bows = true) =>
    referencesOf(machine, { ...NO_INSTRUMENTS, ...readings }, bows);
  const knivesAt = (xs: readonly number[]) => xs.flatMap((x) => KNIVES.map((k) => gauge(k, x)));
  const bodyAt = (xs: readonly number[]) => xs.map((x) => gauge('body', x));

  it('is nothing without instruments, nor of marks', () => {
    expect(of({})).toEqual([]);
    const row: MarksRow = { x: 40, terms: [{ knife: 0, weight: 1 }], value: 0, scale: 1 };
    expect(of({ marks: [row] })).toEqual([]);
  });

  it.each([
    [[40], ['zero null']],
    [
      [40, 480],
      ['zero null', 'gauge slope'],
    ],
    [[40, 42], ['zero null']],
    [
      [40, 260, 480],
      ['zero null', 'gauge slope', 'gauge crown'],
    ],
  ])('is a gauge’s zero and stand with knives at %j', (xs, names) => {
    expect(of({ gauge: knivesAt(xs) })).toEqual(names);
  });

  it('is the body too where it shares a zero with knives', () => {
    expect(of({ gauge: [...knivesAt([40, 480]), ...bodyAt([40])] })).toEqual([
      'zero null',
      'gauge slope',
      'body depth',
    ]);
    expect(of({ gauge: [...knivesAt([40, 480]), ...bodyAt([40, 480])] })).toEqual([
      'zero null',
      'gauge slope',
      'body depth',
      'body slope',
    ]);
    const other = bodyAt([40, 480]).map((reading) => ({ ...reading, zero: 'b' }));
    expect(of({ gauge: [...knivesAt([40, 480]), ...other] })).not.toContain('body depth');
  });

  it('has no crown where knives have no bow', () => {
    const all = { gauge: [...knivesAt(STATIONS), ...bodyAt(STATIONS)], carry: [] };
    expect(of(all, false).filter((name) => /crown|bow/.test(name))).toEqual([]);
    expect(of(all, true).filter((name) => /crown|bow/.test(name))).toEqual([
      'gauge crown',
      'body bow',
    ]);
  });

  it.each([
    [[40], ['table level']],
    [
      [40, 480],
      ['table level', 'table slope'],
    ],
    [
      [40, 260, 480],
      ['table level', 'table slope', 'table crown'],
    ],
  ])('is a table under a rule carried at %j', (xs, names) => {
    expect(of({ carry: xs.map((x) => carry('1', x, 4)) })).toEqual(names);
  });

  it('has a place of its own each in the layout, and no two files share one', () => {
    const { layout }: { layout: Layout } = modelOf({
      gauge: [...knivesAt(STATIONS), ...bodyAt(STATIONS)],
      carry: STATIONS.map((x) => carry('1', x, 4)),
    });
    expect(new Set(layout.references).size).toBe(layout.references.length);
    expect(layout.size).toBe(layout.at.reference + layout.references.length);
    expect(layout.bows).toBe(true);
  });
});
