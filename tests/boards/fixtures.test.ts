import { describe, expect, test } from 'vitest';
import { fixtureNames, inShort, readFixtures } from './files.js';

type Place = readonly [board: string, knife: string, x: number, y: number, thickness: number];

const SIX: readonly Place[] = [
  ['H1', '1', 40, 120, 20.01],
  ['H1', '1', 260, 120, 20.03],
  ['H1', '1', 480, 120, 20.08],
  ['H1', '2', 40, 150, 20.02],
  ['H1', '2', 260, 150, 20.05],
  ['H1', '2', 480, 150, 20.11],
];
const THREE = SIX.slice(0, 3);
const [FIRST, SECOND, THIRD] = THREE as [Place, Place, Place];

// Worked out by hand: 25/32 in = 19.84375 mm, 0.786 in = 19.9644 mm, 0.790 in = 20.066 mm.
const READ: Record<string, { readonly places: readonly Place[]; readonly notices?: string[] }> = {
  'plain.csv': { places: SIX },
  'big-endian.csv': { places: SIX },
  'german-spreadsheet.csv': { places: SIX },
  'unicode-text.txt': { places: SIX },
  'everything.csv': {
    places: [
      FIRST,
      ['H1', '1', 40, 122, 20.02],
      ['P1', '3', 40, 300, 20.11],
      ['F1', 'all', 40, 300, 20.13],
    ],
  },
  'french-old-windows.csv': {
    places: [FIRST, ['H1', '1', 260, 1120, 20.03], ['H1', '1', 480, 2120, 20.08]],
    notices: ['2:18 warning old-encoding'],
  },
  'gauge-log.csv': {
    places: THREE,
    notices: [
      '1:28 warning unused-cell',
      '2:8 warning unused-cell',
      '2:19 warning unused-cell',
      '4:1 warning unknown-column',
      '4:4 warning unknown-column',
    ],
  },
  'grid-inches.csv': {
    places: [
      ['W2', 'all', 38.1, 101.6, 19.9644],
      ['W2', 'all', 260.35, 101.6, 20.066],
      ['W2', 'all', 479.425, 101.6, 20.32],
      ['W2', 'all', 38.1, 304.8, 19.84375],
      ['W2', 'all', 260.35, 304.8, 19.05],
    ],
  },
  'grid-knife-1.csv': {
    places: [...THREE, ['H1', '1', 40, 300, 20.02], ['H1', '1', 480, 300, 20.07]],
    notices: [
      '4:16 info statistics-skipped',
      '4:23 info statistics-skipped',
      '6:11 info not-measured',
      '8:1 info statistics-skipped',
    ],
  },
  'grid-knife-2.csv': {
    places: [...SIX.slice(3), ['H1', '2', 40, 330, 20.03], ['H1', '2', 260, 330, 20.05]],
  },
  'inch-fractions.csv': {
    places: [
      ['W1', 'all', 38.1, 120.65, 19.84375],
      ['W1', 'all', 260.35, 120.65, 19.84375],
      ['W1', 'all', 479.425, 120.65, 20.6375],
      ['W1', '2', 38.1, 203.2, 19.9644],
      ['W1', '2', 260.35, 203.2, 20.066],
      ['W1', '2', 479.425, 203.2, 19.975],
    ],
  },
  'margin.csv': {
    places: THREE,
    notices: [
      '1:1 warning unused-cell',
      '2:27 warning unknown-column',
      '5:22 warning unused-cell',
      '7:1 info statistics-skipped',
      '8:1 info statistics-skipped',
    ],
  },
  'not-measured.csv': {
    places: [FIRST, SIX[5]!],
    notices: ['4:10 info not-measured', '5:13 info not-measured', '6:14 info not-measured'],
  },
  'old-mac-lines.csv': { places: [FIRST, SECOND] },
  'pasted-from-a-web-page.csv': {
    places: [FIRST, ['H1', '1', 260, 1120, 20.03], ['H1', '1', 480, 1120, 20.08]],
  },
  'pasted-twice.csv': {
    places: [FIRST, SECOND, ['H1', '1', 40, 120, 20.02], SECOND],
    notices: ['5:1 warning row-twice'],
  },
  'quoted-decimal-comma.csv': { places: [FIRST, SECOND, ['H1', '1', 480, 120, 20.1]] },
  'sep-line.csv': { places: [FIRST, SECOND] },
  'text-guards.csv': {
    places: [
      ['007', ...rest(FIRST)],
      ['7', '1', 40, 120, 20.02],
    ],
  },
  'thou-and-microns.csv': {
    places: [['H1', '1', 40, 120, 20.0025], SECOND, THIRD, ['H1', '2', 40, 150, 20.02]],
  },
};

function rest([, knife, x, y, thickness]: Place): [string, number, number, number] {
  return [knife, x, y, thickness];
}

function placesIn(name: string): Place[] {
  return readFixtures('boards', name).readings.map((reading): Place => {
    const { board, knife, x, y, thickness } = reading;
    return [board, knife, x, y, thickness];
  });
}

describe('files as people keep them', () => {
  test('each of them is told here', () => {
    expect(fixtureNames('boards').sort()).toEqual(Object.keys(READ).sort());
  });

  test.each(Object.entries(READ))('%s', (name, { places, notices = [] }) => {
    expect(placesIn(name)).toEqual(places);
    expect(inShort(readFixtures('boards', name))).toEqual(notices);
  });

  test('characters of old Windows files, curled inch marks among them, are the right ones', () => {
    const { readings } = readFixtures('boards', 'french-old-windows.csv');
    expect(readings[1]?.note).toBe('à côté du nœud');
  });

  test('every column of the long form', () => {
    const { readings } = readFixtures('boards', 'everything.csv');
    expect(readings[1]).toEqual({
      file: 'everything.csv',
      line: 3,
      board: 'H1',
      knife: '1',
      cut: 'hand',
      setting: 'S1',
      run: 1,
      x: 40,
      y: 122,
      thickness: 20.02,
      scoop: 'a',
      length: 600,
      repeat: '2',
      by: 'Kim',
      scale: 20,
      note: 'two, beside',
    });
    expect(readings.map(({ cut }) => cut)).toEqual(['hand', 'hand', 'proud', 'full']);
    expect(readings[3]?.note).toBe('first line\nsecond line');
  });

  test('the lines above a grid hold for all its readings', () => {
    const { readings } = readFixtures('boards', 'grid-inches.csv');
    expect(readings.map(({ length, cut, line }) => [length, cut, line])).toEqual([
      [609.6, 'full', 6],
      [609.6, 'full', 6],
      [609.6, 'full', 6],
      [609.6, 'full', 7],
      [609.6, 'full', 7],
    ]);
  });

  test('two grids in two files are one board', () => {
    const { readings } = readFixtures('boards', 'grid-knife-1.csv', 'grid-knife-2.csv');
    expect(new Set(readings.map(({ board }) => board))).toEqual(new Set(['H1']));
    expect(readings.map(({ file }) => file)).toEqual([
      ...Array(5).fill('grid-knife-1.csv'),
      ...Array(5).fill('grid-knife-2.csv'),
    ]);
  });

  test('a file given twice under two names is remarked on, row by row', () => {
    const both = readFixtures('boards', 'plain.csv', 'german-spreadsheet.csv');
    expect(both.readings).toHaveLength(12);
    const twice = both.notices.filter(({ code }) => code === 'row-twice');
    expect(twice.map(({ file, line }) => `${file}:${line}`)).toContain('german-spreadsheet.csv:2');
  });
});
