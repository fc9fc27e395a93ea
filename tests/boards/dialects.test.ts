import fc from 'fast-check';
import { expect, test } from 'vitest';
import { readBoards } from '../../src/boards/read-boards.js';
import type { Reading } from '../../src/boards/reading.js';
import { toLongCsv } from '../../src/boards/write-long.js';
import { benchMachine } from '../machines.js';
import { boardIds, type Dialect, dialects, encode, field, written } from './dialects.js';
import { readText } from './files.js';

/** A place and a thickness in whole tenths of a micrometre, so that any unit can write it in decimals. */
interface Measured {
  readonly board: string;
  readonly knife: string;
  readonly x: number;
  readonly y: number;
  readonly thickness: number;
}

const measured = fc.record<Measured>({
  board: boardIds,
  knife: fc.constantFrom('1', '2', '3', '4', 'all'),
  x: fc.integer({ min: 0, max: 5_200_000 }),
  y: fc.integer({ min: 0, max: 30_000_000 }),
  thickness: fc.integer({ min: 30_000, max: 5_000_000 }),
});

function longFile(rows: readonly Measured[], dialect: Dialect): Uint8Array {
  const unit = dialect.unitAt === 'header' ? ` (${dialect.unit})` : '';
  const header = ['Board', 'KNIFE', `x${unit}`, `y${unit}`, `thickness${unit}`];
  const cells = rows.map((row) => [
    row.board,
    row.knife,
    ...[row.x, row.y, row.thickness].map((tenths) => written(tenths, dialect)),
  ]);
  const lines = [header, ...cells].map((row) =>
    row.map((text) => field(text, dialect)).join(dialect.separator),
  );
  return encode([...(dialect.declare ? [`sep=${dialect.separator}`] : []), ...lines], dialect);
}

function gridFile(
  { board, knife }: Measured,
  xs: readonly number[],
  rows: readonly { readonly y: number; readonly thicknesses: readonly number[] }[],
  dialect: Dialect,
): Uint8Array {
  const line = (cells: readonly string[]) =>
    cells.map((text) => field(text, dialect)).join(dialect.separator);
  return encode(
    [
      `# board: ${board}`,
      `# knife: ${knife}`,
      ...(dialect.unitAt === 'header' ? [`# unit: ${dialect.unit}`] : []),
      line(['', ...xs.map((x) => written(x, dialect))]),
      ...rows.map(({ y, thicknesses }) =>
        line([y, ...thicknesses].map((tenths) => written(tenths, dialect))),
      ),
    ],
    dialect,
  );
}

function expectNumbers(content: Uint8Array, rows: readonly Measured[]): void {
  const { readings, notices } = readBoards([{ name: 'a.csv', content }], benchMachine());
  expect(notices.filter(({ code }) => code !== 'row-twice')).toEqual([]);
  expect(readings.map(({ board, knife }) => [board, knife])).toEqual(
    rows.map(({ board, knife }) => [board, knife]),
  );
  readings.forEach((reading, at) => {
    for (const name of ['x', 'y', 'thickness'] as const) {
      expect(Math.abs(reading[name] - rows[at]![name] / 10_000)).toBeLessThan(2e-6);
    }
  });
}

/** What a number of ten decimals of its unit loses at most is 1.3e-9 mm; whole units lose nothing. */
function worstLoss(dialect: Dialect): number {
  return dialect.unit === 'in' ? 25.4e-10 : 1e-9;
}

test('random readings in random dialects of the long form come back', () => {
  fc.assert(
    fc.property(fc.array(measured, { minLength: 1, maxLength: 8 }), dialects, (rows, dialect) => {
      const content = longFile(rows, dialect);
      expectNumbers(content, rows);
      const { readings } = readBoards([{ name: 'a.csv', content }], benchMachine());
      readings.forEach((reading, at) => {
        const away = Math.abs(reading.thickness - rows[at]!.thickness / 10_000);
        expect(away).toBeLessThan(worstLoss(dialect));
      });
    }),
    { numRuns: 300 },
  );
});

test('random grids in random dialects come back', () => {
  const grids = fc.record({
    head: measured.filter(({ board }) => !/["]/.test(board)),
    xs: fc.uniqueArray(fc.integer({ min: 0, max: 5_200_000 }), { minLength: 1, maxLength: 5 }),
    ys: fc.array(fc.integer({ min: 0, max: 30_000_000 }), { minLength: 1, maxLength: 5 }),
    seed: fc.integer({ min: 30_000, max: 4_000_000 }),
  });
  fc.assert(
    fc.property(grids, dialects, ({ head, xs, ys, seed }, dialect) => {
      const rows = ys.map((y, at) => ({
        y,
        thicknesses: xs.map((_, across) => seed + 7_919 * (at * xs.length + across)),
      }));
      const places = rows.flatMap(({ y, thicknesses }) =>
        thicknesses.map((thickness, at) => ({ ...head, x: xs[at]!, y, thickness })),
      );
      expectNumbers(gridFile(head, xs, rows, { ...dialect, declare: false }), places);
    }),
    { numRuns: 200 },
  );
});

test('the same readings in every dialect give the same numbers to 1e-9', () => {
  const rows: Measured[] = [
    { board: 'A', knife: '1', x: 381_000, y: 254_000, thickness: 190_500 },
    { board: 'A', knife: 'all', x: 4_191_000, y: 12_700_000, thickness: 198_437 },
  ];
  const all = fc.sample(dialects, { numRuns: 400, seed: 1 });
  for (const dialect of all) {
    const content = longFile(rows, dialect);
    const { readings } = readBoards([{ name: 'a.csv', content }], benchMachine());
    readings.forEach((reading, at) => {
      expect(Math.abs(reading.x - [38.1, 419.1][at]!)).toBeLessThanOrEqual(1e-9);
      expect(Math.abs(reading.y - [25.4, 1270][at]!)).toBeLessThanOrEqual(1e-9);
      expect(Math.abs(reading.thickness - [19.05, 19.8437][at]!)).toBeLessThanOrEqual(1e-9);
    });
    expect(readings).toHaveLength(2);
  }
});

const texts = fc
  .string({ unit: fc.constantFrom(...'aZ09 =+-@#\'",;\n.ä'), minLength: 1, maxLength: 8 })
  .map((text) => text.trim())
  .filter((text) => text !== '');
const oneLine = texts.filter((text) => !text.includes('\n'));
const lengths = (most: number, least = 0) =>
  fc
    .integer({ min: least * 1e6, max: most * 1e6 })
    .map((n) => Number((n / 1e6 + 1.23e-7).toFixed(9)));
const readings = fc.record<Omit<Reading, 'line' | 'file'>>({
  board: oneLine,
  knife: fc.constantFrom('1', '4'),
  cut: fc.constantFrom('hand', 'proud'),
  setting: fc.option(texts),
  x: lengths(519),
  y: lengths(900),
  thickness: lengths(490, 3),
  run: fc.option(fc.integer({ min: 1, max: 9 })),
  scoop: fc.option(texts),
  length: fc.option(lengths(1900, 1000)),
  repeat: fc.option(texts),
  by: fc.option(texts),
  scale: fc.option(lengths(300)),
  note: fc.option(texts),
});

test.each(['mm', 'in'] as const)(
  'written in long form for a machine in %s, readings come back',
  (unit) => {
    fc.assert(
      fc.property(fc.array(readings, { minLength: 1, maxLength: 6 }), (rows) => {
        const csv = toLongCsv(
          rows.map((row) => ({ ...row, file: 'b.csv', line: 1 })),
          unit,
        );
        const back = readText(csv, benchMachine({ unit }));
        expect(back.notices.filter(({ severity }) => severity === 'error')).toEqual([]);
        expect(back.readings.map(({ file, line, ...row }) => row)).toEqual(rows);
      }),
      { numRuns: 300 },
    );
  },
);

test('no spreadsheet takes a written text for a formula', () => {
  const { readings } = readText(`board,knife,x,y,thickness,note\n'=1+1,1,40,0,19.98,'@home\n`);
  expect(toLongCsv(readings)).toBe(
    "board,knife,x,y,thickness,cut,note\n'=1+1,1,40,0,19.98,hand,'@home\n",
  );
});
