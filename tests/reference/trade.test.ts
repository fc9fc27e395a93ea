import { describe, expect, it } from 'vitest';
import { feedOf } from '../../src/model/feed.js';
import { allShowWithin } from '../../src/model/surface.js';
import { parseLength } from '../../src/units/length.js';
import { threadPitch } from '../../src/units/thread.js';
import { formatDegrees } from '../../src/units/turns.js';

const mm = (text: string) => {
  const reading = parseLength(text, 'mm');
  if (!('value' in reading)) throw new Error(text);
  return reading.value;
};

describe('facts of the trade', () => {
  // EN 847-1, cutter blocks for hand-fed work: knives project at most 1.1 mm (from memory).
  it('1.1 mm of projection is just over 1/25 in (common practice, no source)', () => {
    expect(1.1).toBeGreaterThan(mm('1/25 in'));
    expect(1.1).toBeLessThan(1.1 * mm('1/25 in'));
  });

  it('a 1.5 mm knife is about 1/16 in (common practice, no source)', () => {
    expect(Math.abs(mm('1/16 in') - 1.5)).toBeLessThan(0.1);
  });

  // ISO 261/262: M6 has a pitch of 1 mm. ASME B1.1: 1/4-28 UNF has 28 threads an inch.
  it('an M6 screw lifts 0.01 mm in 3.6°, a 1/4-28 UNF 0.9071 mm a turn', () => {
    const m6 = threadPitch('M6');
    const quarter = threadPitch('1/4-28');
    if (!('pitch' in m6) || !('pitch' in quarter)) throw new Error('unknown thread');
    expect(formatDegrees(0.01 / m6.pitch)).toBe('3.6°');
    expect(quarter.pitch).toBeCloseTo(0.9071, 4);
  });

  // Pitch of marks is feed speed over revolutions and knives: a definition.
  it('4500 rpm at 9 m/min leaves 2, 1 and 0.5 mm for 1, 2 and 4 knives', () => {
    for (const [knives, pitch] of [
      [1, 2],
      [2, 1],
      [4, 0.5],
    ] as const) {
      const perKnife = 9000 / (4500 * knives);
      expect(perKnife).toBe(pitch);
      expect(feedOf(perKnife, knives, 60, null).period).toBe(2);
    }
  });

  it('4 knives at 0.5 mm on a 120 mm cutting circle all show within about 2 µm', () => {
    expect(allShowWithin(feedOf(0.5, 4, 60, null))! * 1000).toBeCloseTo(2.06, 2);
  });
});
