import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readCarry } from '../../src/boards/read-carry.js';
import { readGauge } from '../../src/boards/read-gauge.js';
import { readRidges } from '../../src/boards/read-ridges.js';
import type { Machine } from '../../src/machine/machine.js';
import { benchMachine } from '../machines.js';
import { boardIds, type Dialect, dialects, encode, field, ids, written } from './dialects.js';
import { inShort } from './files.js';

const file = (text: string, name = 'a.csv') => ({ name, content: new TextEncoder().encode(text) });
const gauge = (text: string, machine?: Machine) =>
  readGauge([file(text)], machine ?? benchMachine());
const carry = (text: string, machine?: Machine) =>
  readCarry([file(text)], machine ?? benchMachine());
const marks = (text: string, machine?: Machine) =>
  readRidges([file(text)], machine ?? benchMachine());

describe('a gauge', () => {
  test('reads in and out of its zero, on knives and on the body', () => {
    const { readings, notices } = gauge(
      'By,Note,Zero,Reading,X,Knife\nK,dull,A,+0.03,40,1\n,,A,-0.02,480,2\n,,B,\u22121.1,40,BODY\n,,B,0,480,4\n',
    );
    expect(notices).toEqual([]);
    expect(readings).toEqual([
      { file: 'a.csv', line: 2, knife: '1', x: 40, reading: 0.03, zero: 'A' },
      { file: 'a.csv', line: 3, knife: '2', x: 480, reading: -0.02, zero: 'A' },
      { file: 'a.csv', line: 4, knife: 'body', x: 40, reading: -1.1, zero: 'B' },
      { file: 'a.csv', line: 5, knife: '4', x: 480, reading: 0, zero: 'B' },
    ]);
  });

  test('without any zero named, all readings share one', () => {
    expect(gauge('knife,x,reading\n1,40,0.01\n').readings[0]?.zero).toBeNull();
    const dashes = gauge('knife,x,reading,zero\n1,40,0.01,-\n2,40,0.02,\n');
    expect(dashes.readings.map(({ zero }) => zero)).toEqual([null, null]);
    expect(dashes.notices).toEqual([]);
  });

  test('a name of a zero is text', () => {
    const { readings } = gauge('knife,x,reading,zero\n1,40,0.01,="007"\n2,40,0.02,7\n');
    expect(readings.map(({ zero }) => zero)).toEqual(['007', '7']);
    expect(inShort(gauge('knife,x,reading,zero\n1,40,0.01,"A\nB"\n'))).toEqual([
      '2:11 error id-over-lines',
    ]);
  });

  test.each([
    ['50', 50],
    ['-50', -50],
    ['50.001', 'no-gauge-reading'],
    ['\u221250.001', 'no-gauge-reading'],
    ['2 thou', 0.0508],
    ['-30 µm', -0.03],
    ['-1/64 in', -0.396875],
    ['-0,02', -0.02],
    ['="-0.02"', -0.02],
    ["'-0.02", -0.02],
    ['0.02 V', 'unknown-unit'],
    ['-', 'no-readings'],
  ])('%j', (cell, outcome) => {
    const { readings, notices } = gauge(`knife;x;reading\n1;40;${cell}\n`);
    expect(readings[0]?.reading ?? notices[0]?.code).toBe(outcome);
  });

  test('whole numbers are divisions unless a unit is said, or nothing but zero is read', () => {
    const rows = '1,40,0\n2,40,3\n';
    const codes = (text: string) => gauge(text).notices.map(({ code }) => code);
    expect(codes(`knife,x,reading\n${rows}`)).toEqual(['divisions-for-lengths']);
    expect(codes(`knife,x,reading (mm)\n${rows}`)).toEqual([]);
    expect(codes('knife,x,reading\n1,40,0\n2,40,3 mm\n')).toEqual([]);
    expect(codes('knife,x,reading,unit\n1,40,0,µm\n2,40,3,µm\n')).toEqual([]);
    expect(codes('knife,x,reading\n1,40,0\n2,40,0\n')).toEqual([]);
    expect(codes('knife,x,reading\n1,40,0\n2,40,3.5\n')).toEqual([]);
  });

  test('thousands of micrometres are told from decimals, whatever the sign is written with', () => {
    for (const sign of ['', '+', '-', '\u2212']) {
      const { notices } = gauge(`knife;x;reading (µm)\n1;40;${sign}1,250\n`);
      expect(notices.map(({ code }) => code)).toEqual(['ambiguous-number']);
    }
    expect(gauge('knife;x;reading\n1;40;-1,250\n').readings[0]?.reading).toBe(-1.25);
  });
});

describe('a rule carried by an edge', () => {
  test('goes some way or none', () => {
    const { readings, notices } = carry('knife,x,carry\n1,40,0\n4,480,3\n');
    expect(notices).toEqual([]);
    expect(readings).toEqual([
      { file: 'a.csv', line: 2, knife: '1', x: 40, carry: 0 },
      { file: 'a.csv', line: 3, knife: '4', x: 480, carry: 3 },
    ]);
  });

  test('goes no further than half the cutting diameter of the machine at hand', () => {
    const block = { ...benchMachine().block, cuttingDiameter: 80 };
    const small = benchMachine({ block });
    expect(carry('knife,x,carry\n1,40,40\n', small).readings).toHaveLength(1);
    expect(inShort(carry('knife,x,carry\n1,40,40.1\n', small))).toEqual(['2:6 error no-carry']);
  });
});

describe('knife marks', () => {
  test('are ridges at places along boards, of a knife where it is known', () => {
    const { ridges, notices } = marks('board,x,y,knife\nF1,205,12.35,3\n007,205,13.65,\n');
    expect(notices).toEqual([]);
    expect(ridges).toEqual([
      { file: 'a.csv', line: 2, board: 'F1', x: 205, y: 12.35, knife: '3' },
      { file: 'a.csv', line: 3, board: '007', x: 205, y: 13.65, knife: null },
    ]);
    expect(marks('board,x,y\nF1,205,12.35\n').ridges[0]?.knife).toBeNull();
    expect(marks('board,x,y,knife\nF1,205,12.35\n').ridges[0]?.knife).toBeNull();
  });

  test.each(['-', '?', 'n/a', 'x', 'NA', '–', ''])('of a knife nobody knows: %j', (cell) => {
    const { ridges, notices } = marks(`board,x,y,knife\nF1,205,12.35,${cell}\n`);
    expect(notices).toEqual([]);
    expect(ridges[0]?.knife).toBeNull();
  });

  test('a knife may be called what others write for nothing', () => {
    const block = { ...benchMachine().block, knives: ['X', 'Y'] };
    const { ridges } = marks(
      'board,x,y,knife\nF1,205,12.35,X\nF1,205,13.35,x\n',
      benchMachine({ block }),
    );
    expect(ridges.map(({ knife }) => knife)).toEqual(['X', null]);
  });

  test('a column of units is a guess for x unless its header says another', () => {
    const lost = marks('board,x,y,unit\nF1,205,0.5,in\n');
    expect(inShort(lost)).toEqual(['2:12 error unit-of-which']);
    const rows = marks('board,x (mm),y,unit\nF1,205,0.5,in\nF1,205,14.5,mm\n');
    expect(rows.ridges.map(({ x, y }) => [x, y])).toEqual([
      [205, 12.7],
      [205, 14.5],
    ]);
    expect(marks('board,x,y,unit\nF1,205 mm,0.5,in\n').ridges[0]).toMatchObject({
      x: 205,
      y: 12.7,
    });
    expect(marks('board,x,y,unit\nF1,205,12.7,mm\n').notices).toEqual([]);
  });

  test('ridges counted along the board are pointed out, they may be a millimetre apart', () => {
    expect(inShort(marks('board,x,y\nF1,205,1\nF1,205,2\nF1,205,3\n'))).toEqual([
      '1:1 warning position-counted',
    ]);
  });

  test('labels beside whole millimetres pass once a decimal shows how the file writes them', () => {
    expect(marks('board,x,y,knife\nF1,205,12,3\nF1,205,13.5,4\n').notices).toEqual([]);
    expect(marks('board,knife,x,y\nF1,3,205,12\n').notices).toEqual([]);
  });
});

describe('units', () => {
  test.each([
    ['reading (in)', '0.02', 0.508],
    ['reading_mm', '0.02', 0.02],
    ['Reading [thou]', '-2', -0.0508],
    ['reading, µm', '20', 0.02],
    ['reading in inches', '1/64', 0.396875],
    ['reading"', '0.02', 0.508],
  ])('of a gauge in its header: %s', (header, cell, mm) => {
    expect(gauge(`knife;x;${header}\n1;40;${cell}\n`).readings[0]?.reading).toBe(mm);
  });

  test.each([
    ['carry_mm', '3.5', 3.5],
    ['carry (in)', '1/8', 3.175],
    ['Carry [µm]', '3500', 3.5],
  ])('of a carry in its header: %s', (header, cell, mm) => {
    expect(carry(`knife;x;${header}\n1;40;${cell}\n`).readings[0]?.carry).toBe(mm);
  });

  test('the column of units is for what was measured, plain numbers are in the unit of the machine', () => {
    const inches = benchMachine({ unit: 'in' });
    expect(gauge('knife,x,reading,unit\n1,40,2,thou\n').readings[0]).toMatchObject({
      x: 40,
      reading: 0.0508,
    });
    expect(carry('knife,x,carry,unit\n1,1.5,3.5,mm\n', inches).readings[0]).toMatchObject({
      x: 38.1,
      carry: 3.5,
    });
    expect(gauge('knife,x,reading\n1,1.5,0.001\n', inches).readings[0]).toMatchObject({
      x: 38.1,
      reading: 0.0254,
    });
    expect(marks('board,x,y\nF1,8,0.5\n', inches).ridges[0]).toMatchObject({ x: 203.2, y: 12.7 });
  });

  test('in a comment a unit is refused where plain numbers would lose it', () => {
    expect(inShort(carry('# unit: in\nknife,x (mm),carry\n1,40,0.1\n'))).toEqual([
      '1:1 error unit-in-a-comment',
    ]);
    expect(carry('# unit: in\nknife,x (mm),carry (in)\n1,40,0.1\n').notices).toEqual([]);
    expect(gauge('# unit: mm\nknife,x,reading\n1,40,0.1\n').notices).toEqual([]);
  });

  test('a row that ends before its unit is an error', () => {
    expect(inShort(carry('knife,x,carry,unit\n1,40,0.1,in\n1,40,3.5\n'))).toEqual([
      '3:6 error too-few-fields',
    ]);
  });
});

describe('rows', () => {
  test('of places not measured, of statistics, of the header again, are left out aloud', () => {
    const result = gauge(
      'knife,x,reading,note\n1,40,0.02,\n2,40,,\n3,40,n/a,\n4,40\nMean,,0.02,\nknife,x,reading,note\n1,480,,0.03?\n',
    );
    expect(result.readings).toHaveLength(1);
    expect(inShort(result)).toEqual([
      '4:6 info not-measured',
      '5:3 info not-measured',
      '6:1 info statistics-skipped',
      '7:1 info repeated-header',
      '8:8 warning unused-cell',
    ]);
    const ridges = marks('board,x,y\nF1,205,12.5\nF1,205,\nF1,205,-\nF1,205\nmin,,12.5\n');
    expect(ridges.ridges).toHaveLength(1);
    expect(inShort(ridges)).toEqual([
      '4:8 info not-measured',
      '5:4 info not-measured',
      '6:1 info statistics-skipped',
    ]);
  });

  test('lines count as in an editor', () => {
    const { readings } = carry(
      '# rule\r\n\r\nknife,x,carry,note\r\n1,40,3.5,"two\r\nlines"\r\n#\r\n2,40,3.1,\r\n',
    );
    expect(readings.map(({ line }) => line)).toEqual([4, 7]);
  });

  test('a remark of several lines is no lost row', () => {
    expect(
      gauge('knife,x,reading,note\n1,40,0.02,"dull,\nchipped, 3 mm, to grind"\n').notices,
    ).toEqual([]);
  });

  test('pasted twice are pointed out, in one file or two; what people note tells two apart', () => {
    const row = '1,40,0.02';
    const twice = gauge(`knife,x,reading\n${row}\n${row}\n`);
    expect(twice.readings).toHaveLength(2);
    expect(inShort(twice)).toEqual(['3:1 info row-twice']);
    const table = `1,40,0.02\n1,480,0.03\n2,40,0.01\n2,480,0.02\n`;
    const copied = gauge(`knife,x,reading\n${table}${table}`);
    expect(inShort(copied).at(-1)).toBe('9:1 warning table-twice');
    expect(inShort(gauge(`knife,x,reading\n${table}${row}\n`))).toEqual(['6:1 info row-twice']);
    expect(gauge(`knife,x,reading,note\n${row},\n${row},again\n`).notices).toEqual([]);
    expect(gauge(`knife,x,reading,repeat\n${row},1\n${row},2\n`).notices).toEqual([]);
    const files = ['a.csv', 'b.csv'].map((name) => file('board,x,y\nF1,205,12.5\n', name));
    const { notices } = readRidges(files, benchMachine());
    expect(notices.map(({ code, file: name, line }) => [code, name, line])).toEqual([
      ['row-twice', 'b.csv', 2],
    ]);
    expect(notices[0]?.message).toContain('a.csv:2');
  });

  test('with errors: twenty are shown, and no reading of any file is left', () => {
    const wrong = `knife,x,carry\n${'9,40,3.5\n'.repeat(23)}`;
    const files = [file('knife,x,carry\n1,40,3.5\n', 'good.csv'), file(wrong)];
    const { readings, notices } = readCarry(files, benchMachine());
    expect(readings).toEqual([]);
    expect(notices).toHaveLength(21);
    expect(notices.at(-1)).toMatchObject({
      code: 'more-errors',
      message: '3 more errors in this file',
    });
  });
});

describe('columns', () => {
  test('of other names are left out aloud, those without a name where they hold a figure', () => {
    expect(inShort(gauge('knife,x,reading,colour,\n1,40,0.02,red,0.03\n'))).toEqual([
      '1:17 warning unknown-column',
      '2:15 warning unused-cell',
    ]);
  });

  test('of two instruments in one file serve each reader', () => {
    const both = 'knife,x,reading,carry\n1,40,0.02,3.5\n';
    expect(gauge(both).readings[0]?.reading).toBe(0.02);
    expect(inShort(gauge(both))).toEqual(['1:17 warning unknown-column']);
    expect(carry(both).readings[0]?.carry).toBe(3.5);
  });

  test('of comments alone, and a first line that no separator is named by, are errors', () => {
    const commented = gauge('# knife,x,reading\n# 1,40,0.02\n');
    expect(inShort(commented)).toEqual(['1:1 error no-readings']);
    expect(commented.notices[0]?.hint).toContain('1 of them look like gauge readings');
    expect(inShort(gauge('sep=|\nknife|x|reading\n1|40|0.02\n'))).toEqual([
      '1:5 error unknown-separator',
    ]);
  });
});

/** A place and what was measured there, in tenths of a micrometre. */
interface Measured {
  readonly id: string;
  readonly x: number;
  readonly value: number;
  readonly name: string;
}

interface Kind {
  readonly columns: readonly [string, string, string, string];
  readonly id: fc.Arbitrary<string>;
  readonly value: fc.Arbitrary<number>;
  readonly read: (content: Uint8Array) => {
    readonly rows: readonly (readonly [string, number, number, string | null])[];
    readonly codes: readonly string[];
  };
}

const codesOf = (notices: readonly { readonly code: string }[]) =>
  notices.map(({ code }) => code).filter((code) => code !== 'row-twice');
const KINDS: Record<string, Kind> = {
  gauge: {
    columns: ['KNIFE', 'x', 'Reading', 'zero'],
    id: fc.constantFrom('1', '2', '3', '4', 'body'),
    value: fc.integer({ min: -500_000, max: 500_000 }),
    read: (content) => {
      const { readings, notices } = readGauge([{ name: 'a.csv', content }], benchMachine());
      const rows = readings.map(
        ({ knife, x, reading, zero }) => [knife, x, reading, zero] as const,
      );
      return { rows, codes: codesOf(notices) };
    },
  },
  carry: {
    columns: ['Knife', 'x', 'CARRY', 'note'],
    id: fc.constantFrom('1', '2', '3', '4'),
    value: fc.integer({ min: 0, max: 600_000 }),
    read: (content) => {
      const { readings, notices } = readCarry([{ name: 'a.csv', content }], benchMachine());
      const rows = readings.map(({ knife, x, carry: mm }) => [knife, x, mm, null] as const);
      return { rows, codes: codesOf(notices) };
    },
  },
  marks: {
    columns: ['Board', 'X', 'y', 'note'],
    id: boardIds,
    value: fc.integer({ min: 0, max: 30_000_000 }),
    read: (content) => {
      const { ridges, notices } = readRidges([{ name: 'a.csv', content }], benchMachine());
      const rows = ridges.map(({ board, x, y }) => [board, x, y, null] as const);
      return { rows, codes: codesOf(notices) };
    },
  },
};

function fileOf({ columns }: Kind, rows: readonly Measured[], dialect: Dialect): Uint8Array {
  const unit = dialect.unitAt === 'header' ? ` (${dialect.unit})` : '';
  const header = [columns[0], columns[1] + unit, columns[2] + unit, columns[3]];
  const lines = rows.map(({ id, x, value, name }) => [
    id,
    written(x, dialect),
    written(value, dialect),
    name,
  ]);
  const text = [header, ...lines].map((cells) =>
    cells.map((cell) => field(cell, dialect)).join(dialect.separator),
  );
  return encode([...(dialect.declare ? [`sep=${dialect.separator}`] : []), ...text], dialect);
}

test.each(Object.entries(KINDS))('%s: random rows in random dialects come back', (_, kind) => {
  const measured = fc.record<Measured>({
    id: kind.id,
    x: fc.integer({ min: 0, max: 5_200_000 }),
    value: kind.value,
    name: ids,
  });
  fc.assert(
    fc.property(fc.array(measured, { minLength: 1, maxLength: 8 }), dialects, (rows, dialect) => {
      const { rows: back, codes } = kind.read(fileOf(kind, rows, dialect));
      expect(codes).toEqual([]);
      expect(back).toHaveLength(rows.length);
      back.forEach(([id, x, value, zero], at) => {
        const row = rows[at]!;
        expect(id).toBe(row.id);
        expect(Math.abs(x - row.x / 10_000)).toBeLessThan(3e-9);
        expect(Math.abs(value - row.value / 10_000)).toBeLessThan(3e-9);
        if (kind.columns[3] === 'zero') expect(zero).toBe(row.name);
      });
    }),
    { numRuns: 200 },
  );
});

test.each(Object.entries(KINDS))(
  '%s: whatever the bytes are, there are readings or an error, on one line each',
  (name, kind) => {
    const cells = fc.constantFrom(
      ...['1', '2', 'F1', '40', '0.02', '0,02', '12.5', '-0.01', '\u22120.3', '0', '', '-', '¾'],
      ...['"', '"a"', "'7", '=1', '#', '3 mm', 'mean', 'all', 'body', 'x', 'y', '600', '1,250'],
    );
    const good = kind.columns[0] === 'Board' ? 'F1;205;12.5;' : '1;40;0.02;A';
    const lines = fc.oneof(
      { weight: 9, arbitrary: fc.constant(good) },
      { weight: 1, arbitrary: fc.constantFrom('# unit: in', '# knife: 1', 'A;1;40;0;19.98', '') },
      {
        weight: 2,
        arbitrary: fc.array(cells, { minLength: 1, maxLength: 5 }).map((row) => row.join(';')),
      },
    );
    const header = kind.columns.join(';');
    const texts = fc
      .tuple(fc.constantFrom(header, header, header, ''), fc.array(lines, { maxLength: 6 }))
      .map(([first, rows]) => [first, ...rows].join('\n'));
    const garbage = fc.oneof(
      { weight: 9, arbitrary: fc.constant(new Uint8Array()) },
      { weight: 1, arbitrary: fc.uint8Array({ maxLength: 4 }) },
    );
    const outcomes = { readings: 0, errors: 0 };
    fc.assert(
      fc.property(texts, garbage, (text, end) => {
        const content = Buffer.concat([Buffer.from(text), end]);
        const read = { gauge: readGauge, carry: readCarry, marks: readRidges };
        const result = read[name as keyof typeof read](
          [{ name: 'a.csv', content }],
          benchMachine(),
        );
        const rows = 'ridges' in result ? result.ridges : result.readings;
        const errors = result.notices.filter(({ severity }) => severity === 'error');
        expect(rows.length > 0).toBe(errors.length === 0);
        outcomes[rows.length > 0 ? 'readings' : 'errors'] += 1;
        expect(result.notices.filter(({ message, line }) => /\n/.test(message) || !line)).toEqual(
          [],
        );
        const unsaid = errors.filter(
          ({ expected, hint, code }) => !(expected && hint) && code !== 'more-errors',
        );
        expect(unsaid).toEqual([]);
      }),
      { numRuns: 300 },
    );
    // Both happen, or this would show nothing.
    expect(Math.min(outcomes.readings, outcomes.errors)).toBeGreaterThan(20);
  },
);
