import { describe, expect, test } from 'vitest';
import { LENGTH_UNITS } from '../../src/units/length.js';
import { mathjsFactor } from '../../src/units/mathjs-units.js';
import {
  feedFactor,
  NAMED_FEEDS,
  NAMED_ROTATIONS,
  parseFeed,
  parseRotation,
  rotationFactor,
  TIME_UNITS,
  TURN_NAMES,
} from '../../src/units/speed.js';
import { everydayUnits, loadEveryUnit } from '../../src/units/unit-book.js';

/** The same units as mathjs writes them. */
const MATHJS_TIME: Readonly<Record<string, string>> = { s: 'second', m: 'minute', h: 'hour' };
const MATHJS_NAMED: Readonly<Record<string, string>> = {
  fpm: 'ft/minute',
  mpm: 'm/minute',
  rps: 'second^-1',
  hz: 'Hz',
};

describe('mathjs agrees', () => {
  test.each([...TIME_UNITS.keys()])('a length or a turn a %s', (time) => {
    const below = MATHJS_TIME[time[0]!]!;
    for (const [above, mathjs] of Object.entries({ m: 'm', ft: 'ft', mm: 'mm', in: 'inch' })) {
      const expected = mathjsFactor(`${mathjs}/${below}`, 'mm/minute')!;
      expect(feedFactor(`${above}/${time}`)! / expected).toBeCloseTo(1, 12);
    }
    for (const name of TURN_NAMES) {
      const expected = mathjsFactor(`cycle/${below}`, 'cycle/minute')!;
      expect(rotationFactor(`${name}/${time}`)! / expected).toBeCloseTo(1, 12);
    }
  });

  test.each([...NAMED_FEEDS])('one %s is %d mm/min', (name, factor) => {
    expect(mathjsFactor(MATHJS_NAMED[name]!, 'mm/minute')).toBeCloseTo(factor, 9);
  });

  test.each([...NAMED_ROTATIONS])('one %s is %d turns a minute', (name, factor) => {
    const mathjs = MATHJS_NAMED[name] ?? (name.startsWith('s') ? 'second^-1' : 'minute^-1');
    expect(mathjsFactor(mathjs, 'minute^-1')).toBeCloseTo(factor, 12);
  });
});

test.each([
  ['9 m/min', 9000],
  ['30 ft/min', 9144],
  ['150 mm/s', 9000],
  ['0.15 m per second', 9000],
  ['30 feet a minute', 9144],
  ['12 FPM', 3657.6],
])('feed %s is %d mm/min', (text, feed) => {
  expect(parseFeed(text)).toEqual({ value: feed });
});

test.each([
  ['4500 rpm', 4500],
  ['4500 r.p.m.', 4500],
  ['4500 r/min', 4500],
  ['75 rev/s', 4500],
  ['75 Hz', 4500],
  ['4500 min⁻¹', 4500],
  ['4500 1/min', 4500],
])('rotation %s is %d rpm', (text, rpm) => {
  expect(parseRotation(text)).toEqual({ value: rpm });
});

test('a speed needs its unit, and the right kind of it', () => {
  expect(parseFeed('9')).toMatchObject({ fault: 'unit-missing' });
  expect(parseFeed('9 m')).toMatchObject({ fault: 'unit' });
  expect(parseFeed('9 rpm')).toMatchObject({ fault: 'unit' });
  expect(parseRotation('4500 m/min')).toMatchObject({ fault: 'unit' });
  expect(parseRotation('fast')).toMatchObject({ fault: 'number' });
});

test('units beyond the tables come from mathjs, and only those that measure the same', async () => {
  const every = await loadEveryUnit();
  expect(everydayUnits.feed('yd/min')).toBeNull();
  expect(every.feed('yd/min')).toBe(914.4);
  expect(every.feed('km/h')).toBeCloseTo(1e6 / 60, 8);
  expect(every.rotation('rad/s')).toBeCloseTo(30 / Math.PI, 12);
  expect(every.rotation('kHz')).toBe(60000);
  expect(every.length('dm')).toBe(100);
  expect(every.length('kg')).toBeNull();
  expect(every.length('m^2')).toBeNull();
  expect(every.feed('2 m/min')).toBeNull();
  expect(every.rotation('m/s')).toBeNull();
  for (const [name, mm] of LENGTH_UNITS) expect(every.length(name)).toBe(mm);
});
