import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { BOARDS, jsonOf, MACHINE, proofboard, root, temporaryFolder, written } from './program.js';

const TO = 1e-9;

/** Every number of a result that readings decide, by its path; what names files is left out. */
function numbersOf(value: unknown, path = ''): Record<string, number> {
  if (typeof value === 'number') return { [path]: value };
  if (typeof value !== 'object' || value === null) return {};
  const inner = Object.entries(value).filter(
    ([key]) => !/^(line|files|notices|fitted|setAside|evidence)$/.test(key),
  );
  const numbers = inner.flatMap(([key, each]) => Object.entries(numbersOf(each, `${path}.${key}`)));
  return Object.fromEntries(numbers);
}

function expectSame(one: unknown, other: unknown): void {
  const [left, right] = [numbersOf(one), numbersOf(other)];
  expect(Object.keys(left)).toEqual(Object.keys(right));
  expect(Object.keys(left).length).toBeGreaterThan(20);
  const apart = Object.keys(left).filter((path) => !(Math.abs(left[path]! - right[path]!) <= TO));
  expect(apart.map((path) => `${path}: ${left[path]} and ${right[path]}`)).toEqual([]);
}

const rows = readFileSync(join(root, BOARDS), 'utf8')
  .split('\n')
  .filter((line) => /^[A-Z]\d,/.test(line))
  .map((line) => line.split(','));
const HEADER = ['board', 'knife', 'x', 'y', 'thickness'];

type Cells = readonly (readonly string[])[];
const table = (cells: Cells, separator: string, newline = '\n') =>
  cells.map((row) => row.join(separator) + newline).join('');
const comma = (row: readonly string[]) => row.map((cell) => cell.replace('.', ','));
const inches = (mm: string) => (Number(mm) / 25.4).toFixed(13);
const lengths = (change: (mm: string) => string): Cells =>
  rows.map(([board, knife, ...places]) => [board!, knife!, ...places.map(change)]);
const utf16 = (text: string, order: 'little' | 'big') => {
  const bytes = Buffer.from(`\ufeff${text}`, 'utf16le');
  return order === 'little' ? bytes : bytes.swap16();
};

/** The demonstration's boards as other programs and people would have written them. */
const DIALECTS: Readonly<Record<string, string | Uint8Array>> = {
  'semicolons and decimal commas, with a mark and CRLF': `\ufeff${table([HEADER, ...rows.map(comma)], ';', '\r\n')}`,
  'tabs, UTF-16': utf16(table([HEADER, ...rows.map(comma)], '\t', '\r\n'), 'little'),
  'tabs, UTF-16 big-endian': utf16(table([HEADER, ...rows], '\t'), 'big'),
  'a separator line': `sep=;\n${table([HEADER, ...rows], ';')}`,
  'everything in quotes': table(
    [HEADER, ...rows].map((row) => comma(row).map((cell) => `"${cell}"`)),
    ',',
  ),
  'text guards': table([HEADER, ...rows.map((row) => row.map((cell) => `"=""${cell}"""`))], ','),
  'columns in another order, names in capitals': table(
    [HEADER, ...rows].map((row) =>
      [...row].reverse().map((cell) => cell.toUpperCase().replace('ALL', 'All')),
    ),
    ',',
  ),
  'inches by the header': table(
    [['board', 'knife', 'x (in)', 'y [in]', 'thickness_inches'], ...lengths(inches)],
    ',',
  ),
  'inches on every value': table([HEADER, ...lengths((mm) => `${inches(mm)} in`)], ','),
  'mm on every value, no-break spaces': table([HEADER, ...lengths((mm) => `${mm}\u00a0mm`)], ','),
  'thickness in thou by the unit column': table(
    [
      [...HEADER, 'unit'],
      ...rows.map((row) => [...row.slice(0, 4), (Number(row[4]) / 0.0254).toFixed(10), 'thou']),
    ],
    ',',
  ),
  'comments, notes and columns without a name': table(
    [
      ['# of our own shop'],
      [...HEADER, 'note', ''],
      ...rows.map((row, i) => [...row, i % 7 ? '' : 'knot', '']),
    ],
    ',',
  ),
};

describe('the same readings give the same result', () => {
  const plain = jsonOf(proofboard(['analyse', MACHINE, BOARDS, '--json']));

  test.each(Object.entries(DIALECTS))('%s', (_, content) => {
    const [file] = written(temporaryFolder(), { 'boards.csv': content });
    const run = proofboard(['analyse', MACHINE, file!, '--json']);
    expect(run.code).toBe(0);
    expectSame(jsonOf(run), plain);
  });

  test('as read prints them', () => {
    const [file] = written(temporaryFolder(), {
      'long.csv': proofboard(['read', MACHINE, BOARDS]).stdout,
    });
    expectSame(jsonOf(proofboard(['analyse', MACHINE, file!, '--json'])), plain);
  });

  test('spread over several files', () => {
    const files = written(temporaryFolder(), {
      'a.csv': table([HEADER, ...rows.slice(0, 37)], ','),
      'b.csv': table([HEADER, ...rows.slice(37).map(comma)], ';'),
    });
    expectSame(jsonOf(proofboard(['analyse', MACHINE, ...files, '--json'])), plain);
  });

  test('in grids, one board and knife a file', () => {
    const grids = new Map<string, string[][]>();
    for (const row of rows)
      grids.set(`${row[0]}-${row[1]}`, [...(grids.get(`${row[0]}-${row[1]}`) ?? []), row]);
    const files = [...grids].map(([name, places]) => {
      const [board, knife] = name.split('-');
      const across = [...new Set(places.map(([, , x]) => x!))];
      const along = [...new Set(places.map(([, , , y]) => y!))];
      const lines = along.map((y) => [
        y,
        ...across.map((x) => places.find((place) => place[2] === x && place[3] === y)?.[4] ?? ''),
      ]);
      const text = table([['y\\x', ...across], ...lines], ',');
      return [`${name}.csv`, `# board: ${board}\n# knife: ${knife}\n${text}`] as const;
    });
    const run = proofboard([
      'analyse',
      MACHINE,
      ...written(temporaryFolder(), Object.fromEntries(files)),
      '--json',
    ]);
    expect(run.code).toBe(0);
    expectSame(jsonOf(run), plain);
  });

  test('on a machine whose file is in inches', () => {
    const text = readFileSync(join(root, MACHINE), 'utf8')
      .replace('unit = "mm"', 'unit = "in"')
      .replaceAll(
        /^(cutting_diameter|length|lift_per_turn|repeatability|knife|bed|resolution|max_error) = ([\d.]+)$/gm,
        '$1 = "$2 mm"',
      )
      .replace('at = [40, 480]', 'at = ["40 mm", "480 mm"]');
    const [machine, boards] = written(temporaryFolder(), {
      'machine.toml': text,
      'boards.csv': table([HEADER, ...lengths(inches)], ','),
    });
    expectSame(jsonOf(proofboard(['analyse', machine!, boards!, '--json'])), plain);
  });
});

describe('fixtures that hold the same readings', () => {
  const machine = 'fixtures/machines/thicknesser.toml';
  const of = (command: string, name: string) =>
    jsonOf(proofboard([command, machine, `fixtures/boards/${name}`, '--json']));

  test.each(['big-endian.csv', 'unicode-text.txt', 'german-spreadsheet.csv'])(
    '%s gives the result of plain.csv',
    (name) => {
      expectSame(of('analyse', name), of('analyse', 'plain.csv'));
    },
  );

  test.each([
    { name: 'sep-line.csv', count: 2 },
    { name: 'old-mac-lines.csv', count: 2 },
    { name: 'gauge-log.csv', count: 3 },
    { name: 'margin.csv', count: 3 },
    { name: 'french-old-windows.csv', count: 3 },
    { name: 'thou-and-microns.csv', count: 3 },
  ])('$name holds the first $count readings of plain.csv', ({ name, count }) => {
    const { readings } = of('read', name);
    of('read', 'plain.csv')
      .readings.slice(0, count)
      .forEach(
        (right: { board: string; knife: string; x: number; thickness: number }, i: number) => {
          expect(readings[i]).toMatchObject({ board: right.board, knife: right.knife });
          expect(Math.abs(readings[i].x - right.x)).toBeLessThanOrEqual(TO);
          if (name !== 'thou-and-microns.csv' || i > 0) {
            expect(Math.abs(readings[i].thickness - right.thickness)).toBeLessThanOrEqual(TO);
          }
        },
      );
  });
});
