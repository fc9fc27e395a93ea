import fc from 'fast-check';
import { expect, test } from 'vitest';
import { readBoards } from '../../src/boards/read-boards.js';
import { readEntry } from '../../src/sheet/entry.js';
import { sheetCsv } from '../../src/sheet/sheet-csv.js';
import { machineOf } from './measured.js';

const machine = await machineOf('demo/machine.toml');
const PLACE = { board: 'H1', cut: 'hand', knife: '1', x: 40, y: 40 } as const;

/** The thickness that the CSV reader finds where an entry's cell stands on a sheet. */
function readBack(cell: string, unit: 'mm' | 'in'): number | undefined {
  const text = sheetCsv([PLACE], unit, [{ thickness: 0, cell, isKept: false }], 'Bench');
  const file = { name: 'sheet.csv', content: new TextEncoder().encode(text) };
  return readBoards([file], machine).readings[0]?.thickness;
}

test.each([
  ['20.01', 'mm', 20.01, '20.01'],
  ['20,01', 'mm', 20.01, '20.01'],
  ['20.10', 'mm', 20.1, '20.10'],
  ['  20.01\t', 'mm', 20.01, '20.01'],
  ['+020.01', 'mm', 20.01, '20.01'],
  ['+  20.01', 'mm', 20.01, '20.01'],
  ['\u000220.01\u0003', 'mm', 20.01, '20.01'],
  ['\ufeff20.01\u0000', 'mm', 20.01, '20.01'],
  ['20.01mm', 'mm', 20.01, '20.01'],
  ['19.05 mm', 'in', 19.05, '19.05 mm'],
  ['2.001 cm', 'mm', 20.01, '2.001 cm'],
  ['20', 'mm', 20, '20'],
  ['20,010', 'mm', 20.01, '20.010'],
  ['1,250', 'in', 31.75, '1.250'],
  ['1,250 thou', 'mm', 31.75, '1250 thou'],
  ['20,010 µm', 'mm', 20.01, '20010 um'],
  ['750 thou', 'in', 19.05, '750 thou'],
  ['.750in', 'mm', 19.05, '0.750 in'],
  ['0.7500 in', 'in', 19.05, '0.7500'],
  ['0,7500 in', 'in', 19.05, '0.7500'],
  ['25/32', 'in', 19.84375, '0.78125'],
  ['25/32 in', 'mm', 19.84375, '0.78125 in'],
  ['1 3/16', 'in', 30.1625, '1.1875'],
  ['1-3/16"', 'mm', 30.1625, '1.1875 in'],
  ['¾"', 'mm', 19.05, '0.75 in'],
  ['1⅓', 'in', 33.866666667, '33.866666667 mm'],
  ['2.001E+01', 'mm', 20.01, '20.01'],
] as const)('%j in %s is %d mm, written as %s', (text, unit, thickness, cell) => {
  expect(readEntry(text, unit)).toEqual({ ok: true, thickness, cell });
  expect(readBack(cell, unit)).toBe(thickness);
});

test.each([
  ['', 'mm', /nothing was typed.*20\.01/],
  ['abc', 'mm', /"abc": this is not a length.*25\/32 in/],
  ['20.0.1', 'mm', /not a length/],
  ['20 01', 'mm', /not a length/],
  ['20.01 20.02', 'mm', /not a length/],
  ['20.01 furlongs', 'mm', /not a unit of length/],
  ['25/33 in', 'mm', /parts of 33/],
  ['12.05.2026', 'mm', /date/],
  ['0.7875', 'mm', /0\.7875 mm.*3 mm to 500 mm.*inches\? then type 0\.7875 in/],
  ['25/32', 'mm', /inches\? then type 25\/32 in/],
  ['20.01', 'in', /508\.254 mm.*millimetres\? then type 20\.01 mm/],
  ['2001', 'mm', /decimal mark left out/],
  ['2001.0', 'mm', /decimal mark slipped/],
  ['1,250', 'mm', /1\.25 mm.*then type 1,250 in/],
  ['-20.01', 'mm', /blank where nothing was measured/],
  ['0', 'in', /blank where nothing was measured/],
  ['-', 'mm', /not a length/],
] as const)('%j in %s is refused and says what to do', (text, unit, problem) => {
  const reading = readEntry(text, unit);
  expect(reading).toMatchObject({ ok: false, problem: expect.stringMatching(problem) });
});

/** Thicknesses as texts, with what they are in nanometres, worked out in whole numbers. */
const decimals = fc
  .record({
    count: fc.integer({ min: 0, max: 4 }),
    digits: fc.integer({ min: 0, max: 10 ** 7 }),
    mark: fc.constantFrom('.', ','),
    unit: fc.constantFrom('', ' mm', 'mm', ' in', 'in', '"', ' thou', ' cm'),
    sign: fc.constantFrom('', '+', '+ '),
    zeros: fc.constantFrom('', '0', '00'),
  })
  .map(({ count, digits, mark, unit, sign, zeros }) => {
    const text = String(digits).padStart(count + 1, '0');
    const whole = text.slice(0, text.length - count);
    const part = text.slice(text.length - count);
    return {
      text: `${sign}${zeros}${whole}${count > 0 ? mark + part : ''}${unit}`,
      value: BigInt(digits) * 10n ** BigInt(4 - count),
      unit: unit.trim(),
    };
  });

const NANOMETRES: Readonly<Record<string, bigint>> = {
  mm: 1_000_000n,
  in: 25_400_000n,
  '"': 25_400_000n,
  thou: 25_400n,
  cm: 10_000_000n,
};

test('every decimal is what whole numbers say it is, and reads back from the CSV as exactly that', () => {
  fc.assert(
    fc.property(decimals, fc.constantFrom('mm', 'in'), ({ text, value, unit }, sheetUnit) => {
      const tenThousandths = value * NANOMETRES[unit || sheetUnit]!;
      const mm = Number(tenThousandths) / 1e10;
      const reading = readEntry(text, sheetUnit);
      if (mm < 3 || mm > 500) {
        // A comma may also have grouped thousands.
        if (!text.includes(',')) expect(reading.ok).toBe(false);
        return;
      }
      expect(reading).toMatchObject({ ok: true });
      if (!reading.ok) return;
      expect(reading.thickness).toBeCloseTo(mm, 8);
      expect(readBack(reading.cell, sheetUnit)).toBe(reading.thickness);
    }),
    { numRuns: 400 },
  );
});

test('every fraction of an inch reads back as exactly what it is', () => {
  const fractions = fc.record({
    whole: fc.integer({ min: 0, max: 15 }),
    denominator: fc.constantFrom(2, 4, 8, 16, 32, 64, 128, 3, 6, 10, 100, 1000),
    numerator: fc.integer({ min: 1, max: 999 }),
    join: fc.constantFrom(' ', '-'),
    unit: fc.constantFrom('in', '"', '″', ' inches'),
  });
  fc.assert(
    fc.property(fractions, fc.constantFrom('mm', 'in'), (parts, sheetUnit) => {
      const { whole, denominator, join, unit } = parts;
      const numerator = (parts.numerator % (denominator - 1)) + 1;
      // A space before three digits could group thousands.
      fc.pre(numerator < 100 || whole === 0 || join === '-');
      const text = `${whole > 0 ? whole + join : ''}${numerator}/${denominator}${unit}`;
      const mm = (25.4 * (whole * denominator + numerator)) / denominator;
      fc.pre(mm >= 3);
      const reading = readEntry(text, sheetUnit);
      expect(reading).toMatchObject({ ok: true });
      if (!reading.ok) return;
      expect(reading.thickness).toBeCloseTo(mm, 8);
      expect(readBack(reading.cell, sheetUnit)).toBe(reading.thickness);
    }),
    { numRuns: 300 },
  );
});

test('whatever is typed is either a thickness of 3 to 500 mm or refused in words', () => {
  const typed = fc.oneof(
    fc.string(),
    fc.string({ unit: fc.constantFrom(...'0123456789.,/ -+"inm¾ \t\u0002') }),
  );
  fc.assert(
    fc.property(typed, fc.constantFrom('mm', 'in'), (text, unit) => {
      const reading = readEntry(text, unit);
      if (!reading.ok) {
        expect(reading.problem).toMatch(/\S/);
        return;
      }
      expect(reading.thickness).toBeGreaterThanOrEqual(3);
      expect(reading.thickness).toBeLessThanOrEqual(500);
      expect(reading.cell).toMatch(/^[\d.]+( [a-z]+)?$/);
      expect(readBack(reading.cell, unit)).toBe(reading.thickness);
    }),
    { numRuns: 500 },
  );
});
