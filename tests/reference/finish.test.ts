import { describe, expect, it } from 'vitest';
import { feedPerKnife, type Machine } from '../../src/machine/machine.js';
import { readMachine } from '../../src/machine/read-machine.js';
import { feedOf, machineFeed } from '../../src/model/feed.js';
import { planedSurface } from '../../src/model/surface.js';
import { fixture } from './fixture.js';

const INCH = 25.4;

/** A machine of so many knives at that speed and feed, by its file, all other things usual. */
async function machineOf(knives: number, speed: string, feed: string): Promise<Machine> {
  const ids = Array.from({ length: knives }, (_, k) => `"${k + 1}"`).join(', ');
  const text = `name = "Invented planer"
[block]
knives = [${ids}]
cutting_diameter = "4 in"
length = 520
speed = "${speed}"
[feed]
speed = "${feed}"
[adjusters]
kind = "screw"
at = [40, 480]
thread = "M6"
raised_by = "anticlockwise"
finest_turn = "1/16"
`;
  const content = new TextEncoder().encode(text);
  const { machine, notices } = await readMachine({ name: 'machine.toml', content });
  if (!machine) throw new Error(notices.map(({ message }) => message).join('\n'));
  return machine;
}

/** Marks in an inch along the board, by counting the surface's marks. */
function marksAnInch(machine: Machine, heights = machine.block.knives.map(() => 0)): number {
  const feed = machineFeed(machine)!;
  return (planedSurface(heights, feed).marks.length / feed.period) * INCH;
}

/*
 * Marks an inch = revolutions a minute × knives / (feet a minute × 12): a trade magazine for furniture
 * makers (FDM, January 2009, "Knife marks per inch"); the same as a distance between ridges,
 * 12·F/(T·N) inches, in its answers on wavy surfaces of planed lumber. The examples are worked by hand.
 */
describe('marks an inch from speed, knives and feed', () => {
  it.each([
    [3, '3600 rpm', '60 ft/min', 15],
    [4, '3600 rpm', '60 ft/min', 20],
    [2, '3600 rpm', '30 ft/min', 20],
    [6, '6000 rpm', '100 ft/min', 30],
    [2, '5000 rpm', '500 in/min', 20],
    [3, '60 Hz', '1 ft/s', 15],
  ])('%d knives, %s, %s: %d', async (knives, speed, feed, marks) => {
    expect(marksAnInch(await machineOf(knives, speed, feed))).toBeCloseTo(marks, 9);
  });

  it.each([
    [1, 2],
    [2, 1],
    [4, 0.5],
  ])('4500 rpm, 9 m/min, %d knives: a pitch of %d mm', async (knives, pitch) => {
    expect(feedPerKnife(await machineOf(knives, '4500 rpm', '9 m/min'))).toBeCloseTo(pitch, 12);
  });

  it('is that of a single knife where one knife stands far out', async () => {
    const machine = await machineOf(4, '3600 rpm', '60 ft/min');
    expect(marksAnInch(machine, [0.1, 0, 0, 0])).toBeCloseTo(5, 9);
  });
});

/*
 * Guidance on marks an inch: 20 and more for a finish (FDM, January 2009); below 12 low grade, 13 to 19
 * medium, 20 to 25 the highest of the architectural woodwork standards (as a trade article quotes them;
 * the standards were not seen); 12 to 25 in planing (handbook guidance, from memory).
 */
describe('the range of good planing', () => {
  it.each([
    ['36 ft/min', 25, 'in'],
    ['75 ft/min', 12, 'in'],
    ['35 ft/min', 25.71, 'out'],
    ['76 ft/min', 11.84, 'out'],
  ])('three knives, 3600 rpm, %s: %d marks an inch, %s', async (feed, marks, where) => {
    const found = marksAnInch(await machineOf(3, '3600 rpm', feed));
    expect(Math.abs(found - marks)).toBeLessThan(0.005);
    expect(found > 12 - 1e-9 && found < 25 + 1e-9 ? 'in' : 'out').toBe(where);
  });
});

describe('height of ridges', () => {
  /*
   * M. E. Martellotti, An Analysis of the Milling Process, Trans. ASME 63 (1941): the tooth mark of an
   * up-milling cutter of radius R, n teeth, feed f a tooth is f²/(8(R + f·n/π)) high (from memory).
   * Worked out from that to the digits given: f, n, R in mm, µm.
   */
  it.each([
    [2, 2, 62.5, 7.8403],
    [1.3, 3, 48, 4.2901],
    [0.5, 4, 60, 0.5154],
    [1, 1, 50, 2.4842],
  ])('%d mm a knife, %d knives, radius %d mm: %d µm', (perKnife, knives, radius, height) => {
    const heights = Array.from({ length: knives }, () => 0);
    const { ridgeHeight } = planedSurface(heights, feedOf(perKnife, knives, radius, null));
    expect(Math.abs(ridgeHeight * 1000 - height)).toBeLessThan(0.00005);
  });

  /*
   * J. Qu and A. J. Shih, Machining Science and Technology 7 (2003) 281: a parabola in place of the arc
   * errs by less than 1.6 % as long as the feed is less than half the radius (abstract).
   */
  it('differs from that between circles by just under 1.6 % where the feed is half the radius', () => {
    const radius = 60;
    const between = radius - Math.sqrt(radius ** 2 - (radius / 4) ** 2);
    const { ridgeHeight } = planedSurface([0], feedOf(radius / 2, 1, radius, null, 'circle'));
    expect(1 - ridgeHeight / between).toBeLessThan(0.016);
    expect(1 - ridgeHeight / between).toBeGreaterThan(0.0155);
  });
});

interface Hull {
  readonly period: number;
  readonly radius: number;
  readonly positions: readonly number[];
  readonly heights: readonly number[];
  readonly marks: readonly { readonly knife: number; readonly ends: number }[];
}

/* See fixtures/reference/SOURCE.md: a convex hull by a general library. */
describe('surfaces by a convex hull', () => {
  it.each(fixture<Hull[]>('planed-surfaces.json'))('of $heights.length knives', (hull) => {
    const { marks } = planedSurface(hull.heights, hull);
    expect(marks.map(({ knife }) => knife)).toEqual(hull.marks.map(({ knife }) => knife));
    marks.forEach(({ to }, i) => {
      expect(Math.abs(to - hull.marks[i]!.ends)).toBeLessThan(1e-9);
    });
  });
});
