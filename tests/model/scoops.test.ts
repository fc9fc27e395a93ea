import { describe, expect, it } from 'vitest';
import type { Reading } from '../../src/boards/reading.js';
import { NO_INSTRUMENTS } from '../../src/model/instruments.js';
import { type Scoop, scoopArc, scoopsOf } from '../../src/model/scoops.js';
import { testCutModel } from '../../src/model/test-cut.js';
import { benchMachine } from '../machines.js';
import { seeded } from '../workshop/random.js';

const RADIUS = 60;
const machine = benchMachine();
const jaws = benchMachine({
  instrument: { ...machine.instrument, contact: { kind: 'flat', size: 3 } },
});

function reading(y: number, thickness: number, more: Partial<Reading> = {}): Reading {
  const place = { file: 'a.csv', line: 2, board: 'H1', knife: '1', cut: 'hand' as const, x: 40 };
  const none = { setting: null, run: null, length: null, repeat: null, by: null, scale: null };
  return { ...place, ...none, y, thickness, scoop: 's', note: null, ...more };
}

/** Thickness over a bottom at y = 0 of an exact circle, between jaws w wide that rest on it. */
function between(y: number, width: number): number {
  const edge = Math.abs(y) + width / 2;
  return RADIUS - Math.sqrt(RADIUS ** 2 - edge ** 2);
}

/** Readings along a scoop whose bottom lies at `bottom`. */
function scoop(bottom: number, ys: readonly number[], more: Partial<Reading> = {}): Reading[] {
  return ys.map((y) => reading(y, 20 + (y - bottom) ** 2 / (2 * RADIUS), more));
}

describe('the arc of a scoop', () => {
  it('is the cutting circle within a micrometre or two over its length', () => {
    for (const along of [-6, -3, -1, 0, 0.5, 2, 6]) {
      expect(Math.abs(scoopArc(machine, along).rise - between(along, 0))).toBeLessThan(1e-3);
      // Flat jaws read their own width everywhere; that much is the gap's.
      const read = between(along, 3) - between(0, 3);
      expect(Math.abs(scoopArc(jaws, along).rise - read)).toBeLessThan(2e-3);
    }
  });

  it('has the slope of its rise', () => {
    for (const block of [machine, jaws]) {
      for (const along of [-7, -2, -0.3, 0.4, 1, 5]) {
        const [up, down] = [1e-5, -1e-5].map((step) => scoopArc(block, along + step).rise);
        expect(scoopArc(block, along).slope).toBeCloseTo((up! - down!) / 2e-5, 8);
      }
    }
  });

  it('is at its lowest at the bottom, alike on both sides', () => {
    expect(scoopArc(jaws, 0)).toEqual({ rise: 0, slope: 0 });
    expect(scoopArc(jaws, 2).rise).toBe(scoopArc(jaws, -2).rise);
    expect(scoopArc(jaws, 2).rise).toBeGreaterThan(scoopArc(machine, 2).rise);
  });
});

describe('scoops among readings', () => {
  it('have their bottoms where their readings say', () => {
    for (const bottom of [103, 107.5, 112]) {
      const [found] = scoopsOf(machine, scoop(bottom, [105, 107, 109, 111]));
      expect(found!.bottom).toBeCloseTo(bottom, 8);
      expect(found!.readings).toEqual([0, 1, 2, 3]);
      expect(found!.astray).toEqual([]);
    }
  });

  it('are not moved by one reading far off, which is named', () => {
    for (const wrong of [0, 1, 2, 3, 4]) {
      const readings = scoop(107, [103, 105, 107, 109, 111]).map((each, i) =>
        i === wrong ? { ...each, thickness: each.thickness + 0.5 } : each,
      );
      const [found] = scoopsOf(machine, readings);
      expect(found!.bottom).toBeCloseTo(107, 6);
      expect(found!.astray).toEqual([wrong]);
    }
  });

  it('lie near the bottom where readings scatter', () => {
    const random = seeded(3);
    for (let i = 0; i < 50; i++) {
      const readings = scoop(107, [103, 105, 107, 109, 111]).map((each) => ({
        ...each,
        thickness: each.thickness + random.normal(0.01),
      }));
      expect(Math.abs(scoopsOf(machine, readings)[0]!.bottom - 107)).toBeLessThan(1);
    }
  });

  it('are one for each board, knife, x, name, setting and run', () => {
    const others: Partial<Reading>[] = [
      {},
      { board: 'H2' },
      { knife: '2' },
      { x: 480 },
      { scoop: 't' },
      { setting: 'low' },
      { run: 2 },
    ];
    const readings = others.flatMap((more) => scoop(107, [105, 110], more));
    const found = scoopsOf(machine, readings);
    expect(found.map((each) => each.readings)).toEqual(others.map((_, i) => [2 * i, 2 * i + 1]));
    expect(new Set(found.map(({ name }) => name)).size).toBe(others.length);
  });

  it('are none of a single place, without a name, or under power', () => {
    expect(scoopsOf(machine, scoop(107, [105]))).toEqual([]);
    expect(scoopsOf(machine, scoop(107, [105, 105]))).toEqual([]);
    expect(scoopsOf(machine, scoop(107, [105, 110], { scoop: null }))).toEqual([]);
    expect(scoopsOf(machine, scoop(107, [105, 110], { cut: 'proud' }))).toEqual([]);
  });

  it('never have their bottoms far away, whatever two readings say', () => {
    const [found] = scoopsOf(machine, [reading(105, 20), reading(105.1, 25)]);
    expect(Math.abs(found!.bottom - 105)).toBeLessThan(20);
  });
});

describe('readings along a scoop in the model', () => {
  const scoops: Scoop[] = [{ name: 'scoop a', readings: [0, 1, 2], bottom: 107, astray: [] }];
  const readings = [...scoop(107, [104, 107, 111]), reading(107, 20, { scoop: null, knife: '2' })];
  const model = testCutModel(jaws, { readings, scoops, instruments: NO_INSTRUMENTS }, 'foretold');
  const { layout } = model;
  const at = layout.at.reference + layout.references.indexOf('scoop a');

  it('are thicker by the arc than at its bottom', () => {
    const parameters = new Float64Array(layout.size);
    parameters[0] = 20;
    expect(model.predict(parameters, 1)).toBeCloseTo(20, 12);
    // Circles by hand: jaws 3 mm wide rest 4.5 and 5.5 mm from the bottom, not 1.5.
    expect(model.predict(parameters, 0)).toBeCloseTo(20.1502, 3);
    expect(model.predict(parameters, 2)).toBeCloseTo(20.2339, 2);
    expect(model.predict(parameters, 3)).toBeCloseTo(20, 12);
  });

  it('depend on where the bottom lies as the arc does', () => {
    const rest = new Float64Array(layout.size);
    [0, 2].forEach((index) => {
      const along = readings[index]!.y - 107;
      const moved = scoopArc(jaws, along - 1e-5).rise - scoopArc(jaws, along + 1e-5).rise;
      expect(model.gradient(rest, index)[at]).toBeCloseTo(moved / 2e-5, 8);
    });
    expect(model.gradient(rest, 3)[at]).toBe(0);
  });
});
