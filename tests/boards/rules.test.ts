import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { GAUGE } from '../../src/boards/kinds.js';
import { openNamedTable } from '../../src/boards/open-table.js';
import { readBoards } from '../../src/boards/read-boards.js';
import { benchMachine } from '../machines.js';
import { inShort, readText } from './files.js';

const HEADER = 'board,knife,x,y,thickness';

function thickness(cell: string, name = 'thickness'): number | string | undefined {
  const { readings, notices } = readText(`board;knife;x;y;${name}\nA;1;40;0;${cell}\n`);
  const codes = notices.map(({ code }) => code);
  return readings[0]?.thickness ?? codes.find((code) => code !== 'no-readings') ?? codes[0];
}

describe('one cell', () => {
  test.each([
    ['19.98', 19.98],
    ['19,98', 19.98],
    ['1.998E+01', 19.98],
    ['19.05 mm', 19.05],
    ['19.05mm.', 19.05],
    ['1,905 cm', 19.05],
    ['0.750in', 19.05],
    ['0.750 in.', 19.05],
    ['0.750"', 19.05],
    ['0,750″', 19.05],
    ['0.750”', 19.05],
    ["0.750''", 19.05],
    ['0.750’’', 19.05],
    ['¾"', 19.05],
    ['¾ INCH', 19.05],
    ['1-3/16"', 30.1625],
    ['1 3/16 in', 30.1625],
    ['1¾ in', 44.45],
    ['25⁄32 in', 19.84375],
    ['750 thou', 19.05],
    ['19050 µm', 19.05],
    ['19 1/2', 19.5],
    ['="19.98"', 19.98],
    ["'19.98", 19.98],
    ['3', 3],
    ['500', 500],
    ['2.999', 'no-thickness'],
    ['500.001', 'no-thickness'],
    ['0', 'no-thickness'],
    ['\u221219.98', 'no-thickness'],
    ['19.98 kg', 'unknown-unit'],
    ['19.98?', 'not-a-number'],
    ['19.98/19.99', 'not-a-number'],
    ['19.98 19.99', 'not-a-number'],
    ['1 125/128 in', 'ambiguous-number'],
    ['3-Mar', 'date-not-number'],
    ['25. März', 'date-not-number'],
    ['12:30', 'date-not-number'],
    ['####', 'formula-not-number'],
    ['-', 'not-measured'],
    ['N/A', 'not-measured'],
    ['none', 'not-measured'],
    ['?', 'not-measured'],
    ['x', 'not-measured'],
    ['', 'no-readings'],
  ])('%j', (cell, outcome) => {
    expect(thickness(cell)).toBe(outcome);
  });

  test.each([
    ['thickness (mm)', '19.05'],
    ['Thickness [IN]', '0.75'],
    ['thickness_inches', '0.75'],
    ['thickness in inches', '3/4'],
    ['thickness in', '0.75'],
    ['thickness, thou', '750'],
    ['thickness (µm)', '19050'],
    ['thickness"', '0.75'],
  ])('a unit in the header: %s', (name, cell) => {
    expect(thickness(cell, name)).toBe(19.05);
  });
});

describe('which unit counts', () => {
  test("the value's own, then its header's, then the unit column's, then the machine's", () => {
    const { readings } = readText(
      `board,knife,x (mm),y,thickness,unit\nA,1,38.1,2,0.75,in\nA,1,1.5 in,2,19.05 mm,in\nA,1,38.1,2,0.75,\n`,
      benchMachine({ unit: 'in' }),
    );
    expect(readings.map(({ x, y, thickness }) => [x, y, thickness])).toEqual([
      [38.1, 50.8, 19.05],
      [38.1, 50.8, 19.05],
      [38.1, 50.8, 19.05],
    ]);
    const header = readText(`board,knife,x,y,thickness_mm,unit\nA,1,40,0,19.05,in\n`);
    expect(header.readings[0]?.thickness).toBe(19.05);
  });

  test('in a comment above the long form it is refused where it would be lost', () => {
    const lost = readText(`# unit: in\n${HEADER}\nA,1,40,0,19.05\n`);
    expect(inShort(lost)).toEqual(['1:1 error unit-in-a-comment']);
    const same = readText(`# unit: mm\n${HEADER}\nA,1,40,0,19.05\n`);
    expect(same.notices).toEqual([]);
  });

  test("a grid's unit is not that of the board's length, and the file is told", () => {
    const { readings, notices } = readText(
      '# board: A\n# knife: 1\n# unit: in\n# length: 600\n,1.5\n2,0.75\n',
    );
    expect(readings[0]).toMatchObject({ x: 38.1, y: 50.8, thickness: 19.05, length: 600 });
    expect(notices.map(({ code }) => code)).toEqual(['length-unit']);
  });
});

describe('the decimal mark of a file', () => {
  test('is settled by any number that has only one reading', () => {
    const semicolons = 'board;knife;x;y;thickness\n';
    expect(readText(`${semicolons}A;1;40;1,250;19,98\n`).readings[0]?.y).toBe(1.25);
    expect(readText(`${semicolons}A;1;40;1.250;19.98\n`).readings[0]?.y).toBe(1.25);
    expect(readText(`${semicolons}A;1;40;1.250,5;19,98\n`).readings[0]?.y).toBe(1250.5);
    expect(readText(`${semicolons}A;1;40;0;19,050\n`).readings[0]?.thickness).toBe(19.05);
    expect(inShort(readText(`${semicolons}A;1;40;1.250;19,98\n`))).toEqual([
      '2:8 error mixed-decimal-marks',
    ]);
  });

  test('a whole number that the point cannot group is no riddle in a file with commas', () => {
    expect(readText(`${HEADER}\nA,1,40,1.250,20\n`).readings[0]?.y).toBe(1.25);
  });
});

describe('rows', () => {
  test('statistics below a long table are left out aloud, a board of that name is refused', () => {
    const result = readText(`${HEADER}\nA,1,40,0,19.98\nMittelwert,,,,19.98\nmean,1,40,0,20\n`);
    expect(inShort(result)).toEqual(['3:1 info statistics-skipped', '4:1 error reserved-id']);
  });

  test('an early end is a place not measured just before the thickness, an error before that', () => {
    const result = readText(`${HEADER},note\nA,1,40,0\nA,1,40\nA,1,40,0,19.98\n`);
    expect(inShort(result)).toEqual(['2:8 info not-measured', '3:5 error too-few-fields']);
  });

  test('a row that ends before its unit is an error: the unit would be a guess', () => {
    const result = readText(`${HEADER},unit\nA,1,40,0,0.75,in\nA,1,40,0,19.05\n`);
    expect(inShort(result)).toEqual(['3:10 error too-few-fields']);
  });

  test('padding beyond the header counts for nothing', () => {
    expect(readText(`${HEADER}\nA,1,40,0,19.98,,,\n`).notices).toEqual([]);
  });

  test('a figure beside a place not measured is pointed out', () => {
    const result = readText(
      `${HEADER},note\nA,1,40,0,19.98,\nA,1,260,0,,20.01\nA,1,260,9,-,20.1?\n`,
    );
    expect(inShort(result)).toEqual([
      '3:12 warning unused-cell',
      '4:11 info not-measured',
      '4:13 warning unused-cell',
    ]);
  });

  test('lines count as in an editor: comments, quoted line ends and blank lines included', () => {
    const result = readText(
      `# one\r\n${HEADER},note\r\n\r\nA,1,40,0,19.98,"two\r\nlines"\r\n#\r\nA,7,40,0,19.98,\r\n`,
    );
    expect(inShort(result)).toEqual(['7:3 error unknown-knife']);
  });

  test('the header may be repeated, another table may not begin', () => {
    const again = readText(`${HEADER}\nA,1,40,0,19.98\n${HEADER}\nA,1,40,1,19.99\n`);
    expect(inShort(again)).toEqual(['3:1 info repeated-header']);
    const other = readText(`${HEADER}\nA,1,40,0,19.98\nboard,knife,y,x,thickness\nA,1,1,40,19.9\n`);
    expect(inShort(other)).toEqual(['3:1 error second-table']);
  });
});

describe('grids', () => {
  const above = '# board: A\n# knife: 1\n';

  test('a title above the row of positions is no such row', () => {
    const result = readText(`${above},trial\n,40,480\n0,20.01,20.02\n`);
    expect(result.readings.map(({ x }) => x)).toEqual([40, 480]);
  });

  test('x down the side is refused', () => {
    expect(inShort(readText(`${above}x\\y,0,100\n40,20.01,20.02\n`))).toEqual([
      '3:1 error wrong-corner',
    ]);
  });

  test('a forgotten x between others is an error, figures in the margin a warning each', () => {
    expect(inShort(readText(`${above},40,,480\n0,20.01,20.02,20.03\n`))).toEqual([
      '3:5 error position-missing',
    ]);
    expect(
      inShort(readText(`${above},40,480,\n0,20.01,20.02,20.03\n9,20.01,20.02,20.05\n`)),
    ).toEqual(['4:15 warning unused-cell', '5:15 warning unused-cell']);
  });

  test('words beside a grid are left out, a figure among them is pointed out', () => {
    const result = readText(`${above},40,remark\n0,20.01,knot\n9,20.02,knot at 30\nread by K,,\n`);
    expect(inShort(result)).toEqual([
      '3:5 info words-left-out',
      '5:9 warning unused-cell',
      '6:1 info words-left-out',
    ]);
    expect(result.readings).toHaveLength(2);
  });

  test.each([
    ['# bord: A\n# knife: 1\n', ['1:1 error misspelt-key', '3:1 error board-missing']],
    ['# board: A\n# board: B\n# knife: 1\n', ['2:1 error key-twice']],
    [
      '# board: A, knife: 1\n',
      ['1:1 error keys-on-one-line', '2:1 error board-missing', '2:1 error knife-missing'],
    ],
    ['# board: A\n# knife: all\n# cut: hand\n', ['3:1 error cut-against-knife']],
    ['# board: A\n# knife: 1\n# unit: furlong\n', ['3:1 error unknown-unit']],
  ])('lines above it: %j', (lines, faults) => {
    expect(inShort(readText(`${lines},40,480\n0,20.01,20.02\n`))).toEqual(faults);
  });

  test('the same y twice is two readings of each place', () => {
    const { readings, notices } = readText(`${above},40\n0,20.01\n0,20.02\n`);
    expect(readings.map(({ y, thickness }) => [y, thickness])).toEqual([
      [0, 20.01],
      [0, 20.02],
    ]);
    expect(notices).toEqual([]);
  });
});

test('whatever the bytes are, there are readings or an error, on one line each', () => {
  const pieces = fc.constantFrom(
    ...[
      HEADER,
      '# board: A',
      '# knife: 1',
      ',40,480',
      'A,1,40,0,19.98',
      ';',
      ',',
      '\t',
      '\n',
      '\r\n',
    ],
    ...[
      '"',
      '#',
      "'",
      '=',
      '19,98',
      '0',
      '¾',
      'sep=;',
      '\u00a0',
      '\u0000',
      '-',
      'mean',
      'x',
      'board',
    ],
  );
  fc.assert(
    fc.property(
      fc.array(pieces, { maxLength: 30 }),
      fc.uint8Array({ maxLength: 4 }),
      (text, end) => {
        const content = Buffer.concat([Buffer.from(text.join('')), end]);
        const { readings, notices } = readBoards([{ name: 'a.csv', content }], benchMachine());
        const errors = notices.filter(({ severity }) => severity === 'error');
        expect(readings.length > 0).toBe(errors.length === 0);
        expect(readings.every(({ thickness }) => thickness >= 3 && thickness <= 500)).toBe(true);
        expect(notices.filter(({ message, line }) => /\n/.test(message) || !line)).toEqual([]);
      },
    ),
    { numRuns: 500 },
  );
});

test('the layers below serve tables of other columns', () => {
  const file = {
    name: 'g.csv',
    content: new TextEncoder().encode('Knife;X (in);Reading\n1;1,5;0,02'),
  };
  const { named, notices } = openNamedTable(file, GAUGE);
  expect(notices).toEqual([]);
  expect(named?.columns.map(({ name, factor }) => [name, factor])).toEqual([
    ['knife', null],
    ['x', 25.4],
    ['reading', null],
  ]);
});
