import { describe, expect, it } from 'vitest';
import type { Ridge } from '../../src/boards/instrument-reading.js';
import { markSequences, ridgeNoise } from '../../src/pipeline/mark-sequences.js';
import { seeded } from '../workshop/random.js';
import { machineWith, ridgesAlong } from './ridges.js';

const machine = machineWith(3, 4 / 3);
const HEIGHTS = [0.003, -0.004, 0.001];
const all = () => true;

const codes = (ridges: readonly Ridge[]) =>
  markSequences(machine, ridges).notices.map(({ code }) => code);

/** The knives of a row's marks, from the mark of knife 0 on where it is known. */
function fromKnife0(labels: readonly (number | null)[]) {
  const at = Math.max(0, labels.indexOf(0));
  return [...labels.slice(at), ...labels.slice(0, at)];
}

describe('rows of ridges', () => {
  it('are those of one board at one x, whatever the order of lines', () => {
    const random = seeded(1);
    const rows = [
      ridgesAlong(machine, HEIGHTS, random, { board: 'F1', x: 40 }),
      ridgesAlong(machine, HEIGHTS, random, { board: 'F1', x: 480 }),
      ridgesAlong(machine, HEIGHTS, random, { board: 'F2', x: 40, turns: 12 }),
    ];
    const mixed = rows.flat().sort((a, b) => ((a.line * 7) % 11) - ((b.line * 7) % 11));
    const { sequences, notices } = markSequences(machine, mixed);
    const found = sequences.map(({ board, x, ridges }) => `${board} ${x} ${ridges.length}`);
    expect(found.sort()).toEqual(['F1 40 30', 'F1 480 30', 'F2 40 36']);
    for (const { ridges, pattern } of sequences) {
      expect(ridges).toEqual(ridges.toSorted((a, b) => a.y - b.y));
      expect(pattern.slots).toBe(3);
      expect(pattern.period).toBeCloseTo(4, 1);
    }
    expect(notices).toEqual([]);
  });

  it('share the noise of their ridges', () => {
    const random = seeded(2);
    for (const sd of [0.02, 0.1]) {
      const rows = ['F1', 'F2', 'F3'].flatMap((board) =>
        ridgesAlong(machine, HEIGHTS, random, { board, sd }),
      );
      const { noise } = markSequences(machine, rows);
      expect(Math.abs(noise.sd / sd - 1)).toBeLessThan(0.25);
      // 90 ridges, 4 parameters a row, and a guess worth one.
      expect(noise.degreesOfFreedom).toBeLessThanOrEqual(79);
      expect(ridgeNoise(noise)).toEqual({
        kind: 'estimated',
        guess: noise.sd,
        // How far stations differ by the edges' form is yet to be seen in a fit of several.
        guessDegreesOfFreedom: 6,
      });
    }
  });

  it('that do not cover two revolutions are left out, and said so', () => {
    const random = seeded(3);
    const short = ridgesAlong(machine, HEIGHTS, random, { board: 'S' }).slice(0, 3);
    const { sequences, notices } = markSequences(machine, [
      ...short,
      ...ridgesAlong(machine, HEIGHTS, random),
    ]);
    expect(sequences.map(({ board }) => board)).toEqual(['F1']);
    expect(notices).toHaveLength(1);
    expect(notices[0]).toMatchObject({ code: 'no-pattern', file: 'marks.csv', line: 2 });
    expect(notices[0]!.message).toContain('the ridges of board S, 3 in number');
    expect(notices[0]!.expected).toBeTruthy();
    expect(notices[0]!.hint).toBeTruthy();
    expect(markSequences(machine, short).sequences).toEqual([]);
    expect(markSequences(machine, []).sequences).toEqual([]);
  });

  it('name the line of what was read twice, missed or misplaced', () => {
    const random = seeded(4);
    const ridges = ridgesAlong(machine, HEIGHTS, random);
    const again = { ...ridges[10]!, line: 99, y: ridges[10]!.y + 0.02 };
    const doubled = markSequences(machine, [...ridges, again]).notices;
    expect(doubled.map(({ code }) => code)).toEqual(['ridge-doubled']);
    expect([ridges[10]!.line, 99]).toContain(doubled[0]!.line);
    const stray = { ...ridges[10]!, line: 98, y: ridges[10]!.y + 0.6 };
    expect(markSequences(machine, [...ridges, stray]).notices).toMatchObject([
      { code: 'ridge-set-aside', severity: 'warning', line: 98 },
    ]);
    expect(codes(ridges.filter((_, i) => i !== 10))).toEqual(['ridges-missed']);
  });
});

describe('labels of ridges', () => {
  const labelled = (isLabelled: (turn: number, knife: number) => boolean, seed = 10) =>
    ridgesAlong(machine, HEIGHTS, seeded(seed), { isLabelled });
  const labelsOf = (ridges: readonly Ridge[]) =>
    fromKnife0(markSequences(machine, ridges).sequences[0]!.labels);
  const relabel = (ridges: readonly Ridge[], change: (ridge: Ridge, i: number) => string | null) =>
    ridges.map((ridge, i) => ({ ...ridge, knife: change(ridge, i) }));

  it('name the marks, all or some', () => {
    expect(labelsOf(labelled(all))).toEqual([0, 1, 2]);
    expect(labelsOf(labelled((turn) => turn === 4))).toEqual([0, 1, 2]);
    expect(labelsOf(labelled((turn, knife) => turn === 4 && knife === 0))).toEqual([0, null, null]);
    expect(labelsOf(labelled((_, knife) => knife < 2))).toEqual([0, 1, null]);
    expect(labelsOf(labelled(() => false))).toEqual([null, null, null]);
  });

  it('may be in any revolution, one knife here and another there', () => {
    const scattered = labelled((turn, knife) => turn === 2 + 3 * knife);
    expect(labelsOf(scattered)).toEqual([0, 1, 2]);
    expect(codes(scattered)).toEqual([]);
  });

  it('against many others are a slip: a warning, and the others hold', () => {
    const ridges = labelled(all);
    const at = ridges.findIndex(({ knife }, i) => i > 9 && knife === '1');
    const slipped = relabel(ridges, ({ knife }, i) => (i === at ? '2' : knife));
    const { sequences, notices } = markSequences(machine, slipped);
    expect(fromKnife0(sequences[0]!.labels)).toEqual([0, 1, 2]);
    expect(notices).toMatchObject([
      {
        code: 'label-set-aside',
        severity: 'warning',
        file: 'marks.csv',
        line: slipped[at]!.line,
        found: '2',
        expected: '1',
      },
    ]);
  });

  it('of which nobody knows which holds are an error, once a mark', () => {
    const ridges = labelled((turn) => turn === 2 || turn === 5);
    const names: Record<string, string> = { '1': '2', '2': '3', '3': '1' };
    const torn = relabel(ridges, ({ knife, y }) => (knife && y > 45 ? names[knife]! : knife));
    const { notices } = markSequences(machine, torn);
    expect(notices.map(({ code, severity }) => [code, severity])).toEqual(
      Array.from({ length: 3 }, () => ['label-conflict', 'error']),
    );
    for (const { line, found, expected, hint } of notices) {
      expect(torn.find((ridge) => ridge.line === line)!.knife).toBe(found);
      expect(expected).not.toBe(found);
      expect(hint).toBeTruthy();
    }
  });

  it('that give two marks to one knife are an error', () => {
    const ridges = labelled((turn) => turn === 3);
    const twice = relabel(ridges, ({ knife }) => (knife === '2' ? '1' : knife));
    const { notices } = markSequences(machine, twice);
    expect(notices).toMatchObject([{ code: 'label-twice', severity: 'error', found: '1' }]);
    expect(twice.find(({ line }) => line === notices[0]!.line)!.knife).toBe('1');
  });

  it('put narrow marks right that were read in the wrong order', () => {
    // Knife 2 leaves a mark of some 0.12 mm.
    const narrow = [0.003, -0.0102, 0.003];
    let crossed = 0;
    for (let seed = 0; seed < 12; seed++) {
      const ridges = ridgesAlong(machine, narrow, seeded(100 + seed), { isLabelled: all });
      const names = ridges.map(({ knife }) => knife);
      if (names.some((name, i) => name === '3' && names[i + 1] === '2')) crossed++;
      const { sequences, notices } = markSequences(machine, ridges);
      expect(notices.filter(({ severity }) => severity === 'error')).toEqual([]);
      const [{ labels, pattern }] = sequences as [(typeof sequences)[0]];
      if (pattern.slots === 3) expect(fromKnife0(labels)).toEqual([0, 1, 2]);
    }
    expect(crossed).toBeGreaterThan(3);
  });
});

describe('rounding that is common to all revolutions', () => {
  const roundingOf = (division: number, turns = 10, pitch = 4 / 3, sd = 0.02) => {
    const other = machineWith(3, pitch);
    const ridges = ridgesAlong(other, [0, 0, 0.004], seeded(7), { division, turns, sd, start: 30 });
    return markSequences(other, ridges).sequences[0]!.rounding;
  };

  it('is found where ridges lie on the divisions of a rule', () => {
    // A feed of 4 mm a revolution comes back to the same place of every half millimetre.
    expect(roundingOf(0.5)).toBeGreaterThan(0.05);
    expect(roundingOf(0.5)).toBeLessThanOrEqual(0.5 / Math.sqrt(12));
    expect(roundingOf(1)).toBeGreaterThan(0.1);
  });

  it('is nothing where they scatter by as much anyway', () => {
    // A feed of 3.7 mm: rounding differs from revolution to revolution.
    expect(roundingOf(0.5, 12, 3.7 / 3, 0.15)).toBeLessThan(0.1);
    expect(roundingOf(0.01)).toBe(0);
    expect(roundingOf(0.1)).toBeLessThan(0.03);
  });
});
