import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Contact, contactLevel } from '../../src/model/contact.js';
import { feedOf } from '../../src/model/feed.js';
import { planedSurface } from '../../src/model/surface.js';
import { type Block, blocks, seenMarks, surfaceOf } from './looking.js';

/** A tool's lower side: how far it rises from its lowest point, how far out and where it is tried. */
interface Tool {
  readonly reach: number;
  /** At so many places to either side. */
  readonly tries: number;
  rise(across: number): number;
}

/**
 * The mean over a period of the level at which a tool comes to rest when it is let down: at each of
 * many places along the board, the first touch is looked for under the tool, at its edges, at every
 * ridge beneath, and between. A mean of board heights; the reading of an edge at 0 counts the other way.
 */
function letDown(block: Block, { reach, tries, rise }: Tool): number {
  const { period } = block.feed;
  const level = surfaceOf(block);
  const ridges = seenMarks(block).map(({ to }) => ({ y: to, height: level(to) }));
  const places = 40 * block.heights.length;
  let sum = 0;
  for (let place = 0; place < places; place++) {
    const y = ((place + 0.5) * period) / places;
    let highest = -Infinity;
    for (let i = -tries; i <= tries; i++) {
      const across = (i / tries) * reach;
      highest = Math.max(highest, level(y + across) - rise(across));
    }
    for (const ridge of ridges) {
      const first = Math.ceil((y - reach - ridge.y) / period);
      for (let turn = first; ridge.y + turn * period <= y + reach; turn++) {
        highest = Math.max(highest, ridge.height - rise(ridge.y + turn * period - y));
      }
    }
    sum += highest;
  }
  return -sum / places;
}

const flatJaws = (block: Block, width: number) =>
  letDown(block, { reach: width / 2, tries: 20, rise: () => 0 });

/** A ball touches a surface as flat as a planed one close to its lowest point. */
const ballTip = (block: Block, diameter: number) => {
  const r = diameter / 2;
  const reach = Math.min(r, (r * block.feed.period) / block.feed.radius);
  return letDown(block, {
    reach,
    tries: 200,
    rise: (across) => r - Math.sqrt(r * r - across * across),
  });
};

const flat = (size: number | null): Contact => ({ kind: 'flat', size });
const ball = (size: number): Contact => ({ kind: 'ball', size });
const point: Contact = { kind: 'point', size: null };

const levelOf = ({ heights, feed }: Block, contact: Contact) =>
  contactLevel(heights, feed, contact).level;
const ridgeOf = ({ heights, feed }: Block) => planedSurface(heights, feed).ridgeHeight;

/** How far a level is from what was found by letting the tool down, in ridge heights. */
const miss = (block: Block, contact: Contact, found: number) =>
  Math.abs(levelOf(block, contact) - found) / ridgeOf(block);

/** Boards fed up to 12 mm a revolution: an instrument's ball on steeper hollows is no measurement. */
const planed = (most: number) => blocks(most).filter(({ feed }) => feed.period < 12);

const anyContact = fc.oneof(
  fc.constantFrom<Contact>(null, point, flat(null), ball(1), ball(3), ball(10), ball(40)),
  fc.double({ min: 0.01, max: 30, noNaN: true }).map(flat),
);

const FEW = { numRuns: 40 };

describe('what a contact reads of the planed surface', () => {
  it('is, for a point, the mean of the surface', () => {
    const property = fc.property(blocks(12), (block) => {
      expect(miss(block, point, flatJaws(block, 0))).toBeLessThan(1e-3);
    });
    fc.assert(property, FEW);
  });

  it('is, for a point on the ridges of equal knives, a third of a ridge above the hollows', () => {
    // The mean of a parabola: y²/(2R) over ± p/2 is p²/(24R), a third of p²/(8R).
    const block = { heights: [0, 0, 0], feed: feedOf(1.2, 3, 60, null) };
    expect(levelOf(block, point)).toBeCloseTo(-ridgeOf(block) / 3, 15);
  });

  it('is, for a ball, the mean of where it comes to rest', () => {
    const property = fc.property(planed(8), fc.constantFrom(1, 3, 10, 40), (block, diameter) => {
      expect(miss(block, ball(diameter), ballTip(block, diameter))).toBeLessThan(2e-3);
    });
    fc.assert(property, FEW);
  });

  it.each([130, 300, 2000, 20_000])('is so for a ball of %d mm, which rests on ridges', (size) => {
    for (const heights of [
      [0, 0, 0],
      [0, -0.003, -0.001],
      [0, -0.0015, -0.004, 0.001],
    ]) {
      const block = { heights, feed: feedOf(1, heights.length, 60, null) };
      expect(miss(block, ball(size), ballTip(block, size))).toBeLessThan(2e-3);
    }
  });

  it('is, for jaws narrower than the period, the mean of the highest places under them', () => {
    const share = fc.integer({ min: 1, max: 99 });
    const property = fc.property(blocks(8), share, (block, hundredths) => {
      const width = (hundredths / 100) * block.feed.period;
      expect(miss(block, flat(width), flatJaws(block, width))).toBeLessThan(1e-3);
    });
    fc.assert(property, FEW);
  });

  it.each([1, 2, 3, 4, 6, 8, 12, 24])('is so for narrow jaws under %d equal knives', (knives) => {
    const block = {
      heights: Array.from({ length: knives }, () => 0),
      feed: feedOf(1, knives, 60, null),
    };
    for (const width of [0.01, 0.3, 0.7]) {
      expect(miss(block, flat(width), flatJaws(block, width))).toBeLessThan(1e-3);
    }
  });

  it('is, for jaws as wide as the period or of no given width, the crest', () => {
    const property = fc.property(blocks(24), (block) => {
      const level = surfaceOf(block);
      const crest = Math.max(...seenMarks(block).map(({ to }) => level(to)));
      const { period } = block.feed;
      for (const contact of [null, flat(null), flat(period), flat(50 * period)]) {
        expect(Math.abs(levelOf(block, contact) + crest)).toBeLessThan(1e-9);
      }
    });
    fc.assert(property, { numRuns: 300 });
  });

  it('lies between the crest and the mean, and nearer the crest the wider the jaws', () => {
    const widths = fc.array(fc.integer({ min: 1, max: 150 }), { minLength: 2, maxLength: 6 });
    const property = fc.property(blocks(12), widths, (block, list) => {
      const ordered = [...list].sort((a, b) => a - b);
      const levels = ordered.map((w) => levelOf(block, flat((w / 100) * block.feed.period)));
      const bounded = [levelOf(block, point), ...levels, levelOf(block, null)];
      const slack = 1e-3 * ridgeOf(block);
      bounded.slice(1).forEach((level, i) => {
        expect(level).toBeLessThan(bounded[i]! + slack);
      });
    });
    fc.assert(property, { numRuns: 100 });
  });

  it('goes deeper into the hollows the smaller the ball, down to a point', () => {
    const property = fc.property(planed(8), (block) => {
      const sizes = [1e-9, 0.5, 1, 3, 10, 40, 100];
      const levels = sizes.map((size) => levelOf(block, ball(size)));
      expect(Math.abs(levels[0]! - levelOf(block, point))).toBeLessThan(1e-9);
      levels.slice(1).forEach((level, i) => {
        expect(level).toBeLessThan(levels[i]! + 1e-12);
      });
      expect(levels.at(-1)!).toBeGreaterThan(levelOf(block, null) - 1e-12);
    });
    fc.assert(property, { numRuns: 100 });
  });

  it('is that of a point where a ball has no size', () => {
    const { heights, feed } = { heights: [0, -0.001, 0.002], feed: feedOf(1, 3, 60, null) };
    const pointLevel = contactLevel(heights, feed, point);
    expect(contactLevel(heights, feed, ball(0))).toEqual(pointLevel);
    expect(contactLevel(heights, feed, { kind: 'ball', size: null })).toEqual(pointLevel);
  });
});

describe('how the level follows the knives', () => {
  it('moves with all knives alike, and its weights add up to one', () => {
    const by = fc.double({ min: -0.1, max: 0.1, noNaN: true });
    const property = fc.property(blocks(12), anyContact, by, ({ heights, feed }, contact, up) => {
      const { level, weights } = contactLevel(heights, feed, contact);
      const raised = heights.map((height) => height + up);
      expect(Math.abs(contactLevel(raised, feed, contact).level - level - up)).toBeLessThan(1e-12);
      const total = weights.reduce((sum, { weight }) => sum + weight, 0);
      expect(Math.abs(total - 1)).toBeLessThan(1e-9);
      for (const { knife, weight } of weights) {
        expect(weight).toBeGreaterThan(-1e-9);
        expect(knife).toBeLessThan(heights.length);
      }
      expect(Number.isFinite(level)).toBe(true);
    });
    fc.assert(property, { numRuns: 300 });
  });

  /** The derivative by each knife from differences to either side; null where these differ. */
  function differences({ heights, feed }: Block, contact: Contact, step: number) {
    const here = contactLevel(heights, feed, contact).level;
    return heights.map((_, knife) => {
      const [up, down] = [step, -step].map((by) => {
        const moved = heights.map((height, k) => (k === knife ? height + by : height));
        return (contactLevel(moved, feed, contact).level - here) / by;
      });
      return Math.abs(up! - down!) < 1e-4 ? (up! + down!) / 2 : null;
    });
  }

  it.each<readonly [string, Contact]>([
    ['wide jaws', null],
    ['jaws of 0.4 mm', flat(0.4)],
    ['jaws of 1.7 mm', flat(1.7)],
    ['a point', point],
    ['a ball of 1 mm', ball(1)],
    ['a ball of 3 mm', ball(3)],
    ['a ball of 30 mm', ball(30)],
    ['a ball of 300 mm', ball(300)],
  ])('%s: as differences of the level say', (_, contact) => {
    let compared = 0;
    const property = fc.property(planed(8), (block) => {
      const { weights } = contactLevel(block.heights, block.feed, contact);
      const total = new Array<number>(block.heights.length).fill(0);
      for (const { knife, weight } of weights) total[knife]! += weight;
      differences(block, contact, 1e-8).forEach((slope, knife) => {
        if (slope === null) return;
        compared += 1;
        expect(Math.abs(total[knife]! - slope)).toBeLessThan(1e-5);
      });
    });
    fc.assert(property, { numRuns: 100 });
    expect(compared).toBeGreaterThan(100);
  });

  it('hangs, under wide jaws, on the two knives at the crest alone', () => {
    const { weights } = contactLevel([0, -0.003, -0.001], feedOf(1, 3, 60, null), null);
    expect(weights.map(({ knife }) => knife).sort()).toEqual([1, 2]);
  });

  it('is the highest knife where no feed is known, whatever touches', () => {
    for (const contact of [null, point, flat(2), ball(3)]) {
      expect(contactLevel([0.01, 0.03, -0.02], null, contact)).toEqual({
        level: 0.03,
        weights: [{ knife: 1, weight: 1 }],
      });
    }
  });
});
