import { describe, expect, it } from 'vitest';
import type { CarryReading, GaugeReading } from '../../src/boards/instrument-reading.js';
import type { Reading } from '../../src/boards/reading.js';
import { fitEverything } from '../../src/pipeline/fit-everything.js';
import { benchMachine } from '../machines.js';
import { type Random, seeded } from '../workshop/random.js';

const machine = benchMachine();
const KNIVES = machine.block.knives;
const NOTHING_INSISTED = { exclude: new Set<number>(), use: new Set<number>() };

interface Job {
  readonly boards?: number;
  readonly stations?: readonly number[];
  readonly caliperSd?: number;
  readonly gaugeSd?: number;
  /** By how much each knife is read too far out by the gauge, by the rule. */
  readonly gaugeOff?: readonly number[];
  readonly carryOff?: readonly number[];
  /** What becomes of the gauge's or the rule's readings once they are written down. */
  readonly spoil?: (reading: GaugeReading, index: number) => GaugeReading;
}

const rounded = (value: number, to: number) => Math.round(value / to) * to;

/** An invented block measured by calipers, by a dial indicator, and by a carried rule. */
function measure(job: Job, random: Random) {
  const { boards = 1, stations = [40, 260, 480], caliperSd = 0.01, gaugeSd = 0.005 } = job;
  const { gaugeOff = [], carryOff = [], spoil = (reading) => reading } = job;
  const shapes = KNIVES.map(() => [0.03, 0.03, 0.01].map((sd) => random.normal(sd)));
  const height = (knife: number, x: number) => {
    const at = (x - 260) / 220;
    const [middle, slant, bow] = shapes[knife]!;
    return middle! + slant! * at + bow! * (1 - at ** 2);
  };
  const readings: Reading[] = [];
  const gauge: GaugeReading[] = [];
  const carry: CarryReading[] = [];
  for (let board = 0; board < boards; board++) {
    const lock = random.normal(0.005);
    stations.forEach((x) => {
      KNIVES.forEach((knife, k) => {
        const gap = 20 + lock + (0.05 * (x - 260)) / 440;
        const thickness = rounded(gap - height(k, x) + random.normal(caliperSd), 0.01);
        readings.push(handCut(`H${board}`, knife, x, thickness, readings.length + 2));
      });
    });
  }
  stations.forEach((x) => {
    KNIVES.forEach((knife, k) => {
      const foot = 0.3 + (0.1 * (x - 260)) / 440;
      const read = foot + height(k, x) + (gaugeOff[k] ?? 0) + random.normal(gaugeSd);
      const line = gauge.length + 2;
      gauge.push({ file: 'g.csv', line, knife, x, reading: rounded(read, 0.01), zero: null });
      const above = 0.25 + (0.02 * (x - 260)) / 440 + height(k, x) + (carryOff[k] ?? 0);
      const chord = Math.sqrt(480 * Math.max(0, above)) + random.normal(0.3);
      carry.push({ file: 'c.csv', line, knife, x, carry: rounded(Math.max(0, chord), 0.5) });
    });
  });
  return { readings, gauge: gauge.map(spoil), carry };
}

function handCut(
  board: string,
  knife: string,
  x: number,
  thickness: number,
  line: number,
): Reading {
  const none = { setting: null, run: null, scoop: null, length: null, repeat: null };
  const place = { file: 'a.csv', line, board, knife, cut: 'hand' as const, x, y: 100, thickness };
  return { ...place, ...none, by: null, scale: null, note: null };
}

type Measured = ReturnType<typeof measure>;

/** How each of the instruments named stands to the boards. */
function judged({ readings, gauge, carry }: Measured, kinds: readonly ('gauge' | 'carry')[]) {
  const raw = {
    gauge: kinds.includes('gauge') ? gauge : [],
    carry: kinds.includes('carry') ? carry : [],
    ridges: [],
  };
  return fitEverything(machine, readings, raw, NOTHING_INSISTED).instruments;
}

describe('instruments that agree with the boards', () => {
  it.each([
    { name: 'a gauge, at three stations', job: {}, kinds: ['gauge'] as const },
    {
      name: 'a gauge, at two, of two boards',
      job: { boards: 2, stations: [40, 480] },
      kinds: ['gauge'] as const,
    },
    {
      name: 'a gauge twice as coarse as they usually are',
      job: { gaugeSd: 0.01 },
      kinds: ['gauge'] as const,
    },
    {
      name: 'calipers half as coarse again as their figures say',
      job: { caliperSd: 0.015, boards: 2 },
      kinds: ['gauge'] as const,
    },
    { name: 'a carried rule', job: {}, kinds: ['carry'] as const },
    { name: 'both', job: {}, kinds: ['gauge', 'carry'] as const },
  ])('are hardly ever called a contradiction: $name', ({ job, kinds }) => {
    const random = seeded(2027);
    let fired = 0;
    let told = 0;
    for (let i = 0; i < 60; i++) {
      for (const { agrees, pValue, isInFit } of judged(measure(job, random), kinds)) {
        expect(pValue).not.toBeNull();
        expect(isInFit).toBe(agrees);
        told++;
        if (!agrees) fired++;
      }
    }
    expect(told).toBe(60 * kinds.length);
    // One in a thousand is meant.
    expect(fired).toBeLessThanOrEqual(1);
  });
});

describe('instruments that contradict the boards', () => {
  it('are found: a gauge that has one knife a tenth of a millimetre too far out', () => {
    const random = seeded(2028);
    for (let i = 0; i < 20; i++) {
      const knife = i % 4;
      const gaugeOff = KNIVES.map((_, k) => (k === knife ? 0.1 : 0));
      const [gauge] = judged(measure({ gaugeOff }, random), ['gauge']);
      expect(gauge!.agrees).toBe(false);
      expect(gauge!.isInFit).toBe(false);
      expect(gauge!.pValue).toBeLessThan(0.001);
      // Against the mean of four, three quarters of what it is off.
      const { widest } = gauge!;
      expect(widest!.knife).toBe(knife);
      expect(widest!.byInstruments - widest!.byBoards).toBeGreaterThan(0.04);
      expect([40, 480]).toContain(widest!.x);
    }
  });

  it('are found: two knives exchanged', () => {
    const random = seeded(2029);
    let found = 0;
    let clear = 0;
    for (let i = 0; i < 30; i++) {
      const job = measure({ boards: 2 }, random);
      const swapped = { '1': '2', '2': '1' } as Record<string, string>;
      const readings = job.readings.map((reading) => ({
        ...reading,
        knife: swapped[reading.knife] ?? reading.knife,
      }));
      const mean = (knife: string, x: number) => {
        const own = job.gauge.filter((each) => each.knife === knife && each.x === x);
        return own.reduce((sum, { reading }) => sum + reading, 0) / own.length;
      };
      const apart = [40, 480].map((x) => Math.abs(mean('1', x) - mean('2', x)));
      if (Math.max(...apart) < 0.06) continue;
      clear++;
      const [gauge] = judged({ ...job, readings }, ['gauge']);
      if (gauge!.agrees === false) found++;
    }
    expect(clear).toBeGreaterThan(10);
    // Where they cross, only one end shows it, and two readings may pass for misreads.
    expect(found).toBeGreaterThanOrEqual(clear - 1);
  });

  it('are found: a rule carried too far by one knife', () => {
    const random = seeded(2030);
    for (let i = 0; i < 10; i++) {
      const [carry] = judged(measure({ boards: 2, carryOff: [0, 0, 0.25] }, random), ['carry']);
      expect(carry!.agrees).toBe(false);
    }
  });

  it('are not made by one reading alone that does not fit: that is a misread', () => {
    const random = seeded(2031);
    const stations = [40, 150, 260, 370, 480];
    for (let i = 0; i < 10; i++) {
      const spoil = (reading: GaugeReading, index: number) =>
        index === 2 * i ? { ...reading, reading: reading.reading + 0.5 } : reading;
      const [gauge] = judged(measure({ boards: 2, stations, spoil }, random), ['gauge']);
      expect(gauge!.agrees).toBe(true);
      const { rejected } = gauge!.trial.robust;
      const { readings, rows } = gauge!.trial.model;
      const lines = rejected.map((index) => rows[index - readings.length]!.source!.line);
      expect(lines).toContain(2 * i + 2);
      expect(lines.length).toBeLessThanOrEqual(2);
    }
  });
});

describe('instruments that have nothing to compare', () => {
  it('are neither: one place of one knife against a free zero', () => {
    const job = measure({}, seeded(2032));
    const [gauge] = judged({ ...job, gauge: job.gauge.slice(0, 1) }, ['gauge']);
    expect([gauge!.pValue, gauge!.agrees]).toEqual([null, null]);
    expect(gauge!.isInFit).toBe(true);
    expect(gauge!.widest).toBeNull();
  });
});
