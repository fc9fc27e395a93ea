import { describe, expect, test } from 'vitest';
import { threadPitch } from '../../src/units/thread.js';

const pitchOf = (designation: string) => (threadPitch(designation) as { pitch: number }).pitch;
const refusalOf = (designation: string) =>
  threadPitch(designation) as { problem: string; known: string[] };

describe('metric: coarse pitches of ISO 262, M3 to M12', () => {
  test.each([
    ['M3', 0.5],
    ['M3.5', 0.6],
    ['M4', 0.7],
    ['M5', 0.8],
    ['M6', 1],
    ['M7', 1],
    ['M8', 1.25],
    ['M10', 1.5],
    ['M12', 1.75],
  ])('%s: %d mm', (designation, pitch) => {
    expect(pitchOf(designation)).toBe(pitch);
  });
});

describe('metric: fine pitches of ISO 261', () => {
  test.each([
    ['M6x0.75', 0.75],
    ['M8×1', 1],
    ['M8x0.75', 0.75],
    ['M10x1.25', 1.25],
    ['m12 x 1.5', 1.5],
    ['M3x0.35', 0.35],
    ['M6x1', 1],
    ['M6x1,0', 1],
    ['M6x0,75-6g', 0.75],
    ['M6 LH', 1],
  ])('%s: %d mm', (designation, pitch) => {
    expect(pitchOf(designation)).toBe(pitch);
  });
});

describe('unified: ASME B1.1, #8 to 3/8, threads an inch', () => {
  test.each([
    ['#8-32', 32],
    ['#8-36', 36],
    ['#10-24', 24],
    ['#10-32', 32],
    ['10-32 UNF', 32],
    ['No. 10-24 UNC', 24],
    ['#12-24', 24],
    ['#12-28', 28],
    ['1/4-20 UNC', 20],
    ['1/4-28', 28],
    ['1/4"-28 UNF', 28],
    ['5/16-18', 18],
    ['5/16-24 UNF-2A', 24],
    ['3/8-16', 16],
    ['3/8 UNF', 24],
  ])('%s: %d', (designation, count) => {
    expect(pitchOf(designation)).toBeCloseTo(25.4 / count, 12);
  });
});

test('what a turn does: 0.01 mm on M6 is 3.6°; 1/4-28 lifts 0.9071 mm', () => {
  expect((0.01 / pitchOf('M6')) * 360).toBeCloseTo(3.6, 12);
  expect(pitchOf('1/4-28').toFixed(4)).toBe('0.9071');
});

test('a pitch that the standard does not list is refused with those it does', () => {
  expect(refusalOf('M6x0.8').known).toEqual(['M6', 'M6x0.75']);
  expect(refusalOf('M5.5').known).toEqual(['M5.5x0.5']);
  expect(refusalOf('1/4-24').known).toEqual(['1/4-20 UNC', '1/4-28 UNF']);
  expect(refusalOf('1/4-28 UNC').known).toContain('1/4-28 UNF');
});

test('a size alone is not enough where it could be coarse or fine', () => {
  expect(refusalOf('1/4').problem).toMatch(/coarse or fine/);
  expect(refusalOf('#10').problem).toMatch(/coarse or fine/);
});

test('a size that no table has is refused with the sizes they have', () => {
  expect(refusalOf('M14').known).toContain('M12');
  expect(refusalOf('#6-32').known).toContain('#8');
});

test.each(['', 'M', 'M6x', 'x1', 'BSP 1/4', 'M6 coarse', '1/4-', 'M6x0.7.5', 'M1e1'])(
  'no designation: "%s"',
  (text) => {
    expect(threadPitch(text)).toHaveProperty('problem');
  },
);
