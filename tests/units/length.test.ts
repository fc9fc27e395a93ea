import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  formatDecimal,
  formatLength,
  LENGTH_UNITS,
  parseLength,
  unitFactor,
} from '../../src/units/length.js';
import { mathjsFactor } from '../../src/units/mathjs-units.js';

/** What mathjs calls the unit that each of our spellings begins with. */
const MATHJS_NAME: readonly [RegExp, string][] = [
  [/^(mm|millim)/, 'mm'],
  [/^(cm|centi)/, 'cm'],
  [/^(m|met.*)$/, 'm'],
  [/^(in|["”“″]|''|’’|′′)/, 'inch'],
  [/^f/, 'ft'],
  [/^(thou|mil)/, 'mil'],
  [/^(\u00b5|\u03bc|um|micro)/, 'um'],
];

test.each([...LENGTH_UNITS])('mathjs agrees: one %s is %d mm', (name, mm) => {
  const known = MATHJS_NAME.find(([pattern]) => pattern.test(name))!;
  expect(mathjsFactor(known[1], 'mm')).toBeCloseTo(mm, 12);
});

test('spellings are case-blind; what is no length is none', () => {
  expect(unitFactor(' MM ')).toBe(1);
  expect(unitFactor('Inches')).toBe(25.4);
  for (const name of ['', 'kg', 'x', 'knife', "'", '__proto__', 'constructor']) {
    expect(unitFactor(name)).toBeNull();
  }
});

describe('parseLength', () => {
  test.each([
    ['1/4 in', 6.35],
    ['3 3/4 in', 95.25],
    ['3/64 inch', 1.190625],
    ['3/8"', 9.525],
    ['3-1/2”', 88.9],
    ['6.5 mm', 6.5],
    ['6.5mm', 6.5],
    ['40 thou', 1.016],
    ['5 µm', 0.005],
    ['5 μm', 0.005],
    ['¾ in', 19.05],
    ['\u22121 mm', -1],
    ['0.9', 0.9],
    ['4\u00a0mm', 4],
  ])('%s is %d mm', (text, mm) => {
    expect(parseLength(text, 'mm')).toEqual({ value: mm });
  });

  test('a number alone is in the default unit', () => {
    expect(parseLength('1/2', 'in')).toEqual({ value: 12.7 });
    expect(parseLength('1/2', null)).toEqual({ fault: 'unit-missing', text: '' });
  });

  test('what is wrong is told apart', () => {
    expect(parseLength('6,5 mm', 'mm')).toMatchObject({ fault: 'number' });
    expect(parseLength('mm', 'mm')).toMatchObject({ fault: 'number' });
    expect(parseLength('', 'mm')).toMatchObject({ fault: 'number' });
    expect(parseLength('1/0 in', 'mm')).toMatchObject({ fault: 'number' });
    expect(parseLength('3 bananas', 'mm')).toEqual({ fault: 'unit', text: 'bananas' });
  });
});

describe('formatLength', () => {
  test('signs, zeros and units', () => {
    expect(formatLength(0.0625, 'mm', 3)).toBe('0.063 mm');
    expect(formatLength(-0.0001, 'mm', 3)).toBe('0.000 mm');
    expect(formatLength(-0, 'mm', 3, true)).toBe('0.000 mm');
    expect(formatLength(0.0508, 'in', 4, true)).toBe('+0.0020 in');
    expect(formatLength(-0.0508, 'in', 4, true)).toBe('-0.0020 in');
  });

  test('NaN and infinities are never shown', () => {
    expect(() => formatLength(Number.NaN, 'mm', 3)).toThrow(RangeError);
    expect(() => formatDecimal(Number.POSITIVE_INFINITY, 1)).toThrow(RangeError);
  });

  test('what was printed is read back within the last digit', () => {
    const unit = fc.constantFrom('mm' as const, 'in' as const);
    const mm = fc.double({ min: -3000, max: 3000, noNaN: true });
    fc.assert(
      fc.property(mm, unit, fc.integer({ min: 2, max: 6 }), (value, shown, decimals) => {
        const printed = formatLength(value, shown, decimals);
        expect(printed).not.toMatch(/^-[0.]+ /);
        const back = parseLength(printed, null) as { value: number };
        const digit = (shown === 'in' ? 25.4 : 1) * 10 ** -decimals;
        expect(Math.abs(back.value - value)).toBeLessThanOrEqual(0.5001 * digit);
      }),
    );
  });
});
