import fc from 'fast-check';
import { expect, test } from 'vitest';
import { formatDegrees, formatTurns, parseTurns } from '../../src/units/turns.js';

test.each([
  ['1/16', 0.0625],
  ['0.0625', 0.0625],
  ['1/16 turn', 0.0625],
  ['1/16 of a turn', 0.0625],
  ['22.5 deg', 0.0625],
  ['22.5°', 0.0625],
  ['1 1/4', 1.25],
  ['1 1/4 turns', 1.25],
  ['1/12', 1 / 12],
  ['30 degrees', 1 / 12],
])('%s is %d turns', (text, turns) => {
  expect(parseTurns(text)).toEqual({ value: turns });
});

test('what is no part of a turn is told', () => {
  expect(parseTurns('a bit')).toMatchObject({ fault: 'number' });
  expect(parseTurns('1 mm')).toEqual({ fault: 'unit', text: 'mm' });
});

test.each([
  [0.0625, 1 / 16, '1/16 turn'],
  [-0.0625, 1 / 16, '1/16 turn'],
  [0.125, 1 / 16, '1/8 turn'],
  [1.25, 1 / 16, '1 1/4 turns'],
  [1, 1 / 16, '1 turn'],
  [-2, 1 / 16, '2 turns'],
  [0, 1 / 16, '0 turns'],
  [7 / 12, 1 / 12, '7/12 turn'],
  [10 / 360, 10 / 360, '1/36 turn'],
  [0.15, 0.05, '3/20 turn'],
  [0.058, 1 / 16, '0.058 turn'],
  [0.0246, 0.0123, '0.0246 turn'],
])('%d turns of a finest turn of %d: %s', (turns, finest, words) => {
  expect(formatTurns(turns, finest)).toBe(words);
});

test('degrees: 0.01 mm on M6 is 3.6°', () => {
  expect(formatDegrees(0.01 / 1)).toBe('3.6°');
  expect(formatDegrees(-1 / 16)).toBe('22.5°');
  expect(formatDegrees(1)).toBe('360°');
  expect(formatDegrees(1 / 7)).toBe('51.4°');
});

test('a whole multiple of any usual finest turn is printed exactly and read back', () => {
  const finest = fc.constantFrom(4, 6, 8, 12, 16, 20, 24, 32, 36, 48, 60, 64, 72, 96, 360);
  fc.assert(
    fc.property(finest, fc.integer({ min: 0, max: 2000 }), (parts, steps) => {
      const words = formatTurns(steps * (1 / parts), 1 / parts);
      const back = parseTurns(words) as { value: number };
      expect(words).not.toContain('.');
      expect(back.value * parts).toBeCloseTo(steps, 8);
    }),
  );
});
