import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Feed, feedOf } from '../../src/model/feed.js';
import { planedSurface, showingKnives } from '../../src/model/surface.js';
import { type Block, blocks, seenMarks, surfaceOf, THIN } from './looking.js';

const CLOSE = 1e-9;

/** Fails unless the surface of the model is the surface that is seen. */
function expectAsSeen(block: Block): void {
  const { heights, feed } = block;
  const surface = planedSurface(heights, feed);
  const level = surfaceOf(block);
  const seen = seenMarks(block).filter(({ from, to }) => to - from > THIN);
  const marks = surface.marks.filter(({ from, to }) => to - from > THIN);
  expect(marks.map(({ knife }) => knife)).toEqual(seen.map(({ knife }) => knife));
  const misses = marks.flatMap((mark, i) => [mark.from - seen[i]!.from, mark.to - seen[i]!.to]);
  const heightMisses = surface.ridges.map((ridge) => ridge.height - level(ridge.y));
  const crest = Math.max(...seen.map(({ to }) => level(to)));
  const heightMiss = surface.ridgeHeight - (crest + Math.max(...heights));
  const worst = Math.max(...[...misses, ...heightMisses, heightMiss].map(Math.abs));
  expect(worst).toBeLessThan(CLOSE);
}

/** Fails unless marks and ridges follow each other once round, and each knife is told of once. */
function expectWhole({ heights, feed }: Block): void {
  const { marks, ridges, hidden } = planedSurface(heights, feed);
  const width = marks.reduce((sum, { from, to }) => sum + (to - from), 0);
  expect(Math.abs(width - feed.period)).toBeLessThan(CLOSE);
  expect(ridges).toHaveLength(marks.length);
  marks.forEach((mark, i) => {
    const next = marks[i + 1] ?? { ...marks[0]!, from: marks[0]!.from + feed.period };
    const ridge = ridges[i]!;
    expect([ridge.before, ridge.after]).toEqual([marks.at(i - 1)!.knife, mark.knife]);
    expect(mark.from).toBe(ridge.y);
    expect(Math.abs(mark.to - next.from)).toBeLessThan(CLOSE);
    expect(mark.to).toBeGreaterThanOrEqual(mark.from);
    const turns = (mark.y - feed.positions[mark.knife]!) / feed.period;
    expect(Math.abs(turns - Math.round(turns))).toBeLessThan(CLOSE);
  });
  const told = [...marks, ...hidden].map(({ knife }) => knife).sort((a, b) => a - b);
  expect(told).toEqual(heights.map((_, knife) => knife));
  expect(showingKnives(heights, feed)).toEqual(new Set(marks.map(({ knife }) => knife)));
}

const withHeight = (heights: readonly number[], knife: number, height: number) =>
  heights.map((was, k) => (k === knife ? height : was));

/** Fails unless each hidden knife would leave a mark just above its bound, and none just below. */
function expectExactBounds({ heights, feed }: Block): void {
  for (const { knife, before, after, share, depth, atMost } of planedSurface(heights, feed)
    .hidden) {
    expect(heights[knife]!).toBeLessThanOrEqual(atMost + 1e-15);
    const shared = (1 - share) * heights[before]! + share * heights[after]! - depth;
    expect(Math.abs(atMost - shared)).toBeLessThan(1e-15);
    for (const [by, shows] of [
      [CLOSE, true],
      [-CLOSE, false],
    ] as const) {
      const raised = withHeight(heights, knife, atMost + by);
      const seen = seenMarks({ heights: raised, feed }).some(
        (mark) => mark.knife === knife && mark.to - mark.from > THIN,
      );
      expect([by, seen]).toEqual([by, shows]);
      expect([by, showingKnives(raised, feed).has(knife)]).toEqual([by, shows]);
    }
  }
}

describe('the envelope of arcs', () => {
  it('is the surface that is seen, on 10,000 random blocks of 1 to 24 knives', () => {
    fc.assert(fc.property(blocks(24), expectAsSeen), { numRuns: 10_000 });
  });

  it('goes once round, and tells of each knife once', () => {
    fc.assert(fc.property(blocks(24), expectWhole), { numRuns: 1000 });
  });

  it('bounds each hidden knife exactly', () => {
    fc.assert(fc.property(blocks(12), expectExactBounds), { numRuns: 1000 });
  });

  it('moves with all knives alike, up and down, and not at all along the board', () => {
    fc.assert(
      fc.property(blocks(24), fc.double({ min: -1, max: 1, noNaN: true }), (block, by) => {
        const here = planedSurface(block.heights, block.feed);
        const raised = block.heights.map((height) => height + by);
        const there = planedSurface(raised, block.feed);
        // Marks thinner than the rounding of heights may come and go.
        const wide = (surface: typeof here) =>
          surface.marks.filter(({ from, to }) => to - from > CLOSE).map(({ knife }) => knife);
        expect(wide(there)).toEqual(wide(here));
        expect(there.ridgeHeight).toBeCloseTo(here.ridgeHeight, 12);
      }),
      { numRuns: 500 },
    );
  });

  it('is the same block whichever knife is called the first', () => {
    fc.assert(
      fc.property(blocks(12), fc.nat(11), ({ heights, feed }, by) => {
        const first = by % heights.length;
        const turned = <T>(list: readonly T[]) => [...list.slice(first), ...list.slice(0, first)];
        const origin = feed.positions[first]!;
        const positions = turned(feed.positions).map(
          (y) => (y - origin + feed.period) % feed.period,
        );
        const there = planedSurface(turned(heights), { ...feed, positions });
        const here = planedSurface(heights, feed);
        expect(there.ridgeHeight).toBeCloseTo(here.ridgeHeight, 12);
        const widths = (marks: typeof here.marks, shift: number) =>
          marks
            .map(({ knife, from, to }) => [(knife + shift) % heights.length, to - from] as const)
            .filter(([, width]) => width > CLOSE)
            .sort(([a], [b]) => a - b);
        const [one, other] = [widths(here.marks, 0), widths(there.marks, first)];
        expect(other.map(([knife]) => knife)).toEqual(one.map(([knife]) => knife));
        one.forEach(([, width], i) => {
          expect(Math.abs(other[i]![1] - width)).toBeLessThan(CLOSE);
        });
      }),
      { numRuns: 500 },
    );
  });
});

describe('blocks that are hardly blocks', () => {
  const even = (knives: number, perKnife = 1) => feedOf(perKnife, knives, 60, null);
  const cases: readonly (readonly [string, readonly number[], Feed])[] = [
    ['one knife', [0.3], even(1)],
    ['two equal knives', [0.1, 0.1], even(2)],
    ['24 equal knives', Array.from({ length: 24 }, () => -0.02), even(24)],
    ['two equal leaders next to each other', [0, 0, -0.05, -0.05], even(4)],
    ['two equal leaders opposite each other', [0, -0.05, 0, -0.05], even(4)],
    ['the last one leading', [-1, -1, -1, 0], even(4)],
    ['knives a millimetre apart', [0, 1, -1, 0.5, -0.5, 0.9], even(6)],
    ['a staircase', [0, 0.001, 0.002, 0.003, 0.004, 0.005], even(6)],
    ['a very small feed', [0, 0, 1e-9, 0], even(4, 1e-3)],
    ['a very great feed', [0, 0.2, 0.1], even(3, 20)],
    ['two knives a thousandth of a degree apart', [0, 0, 0], feedOf(1, 3, 60, [0, 0.001, 180])],
    ['the lower of two close ones', [0, -1e-6, 0], feedOf(1, 3, 60, [0, 0.001, 180])],
    ['close ones across the turn', [0, 0, 1e-7], feedOf(1, 3, 60, [0, 120, 359.999])],
  ];

  it.each(cases)('%s', (_, heights, feed) => {
    expectAsSeen({ heights, feed });
    expectWhole({ heights, feed });
    expectExactBounds({ heights, feed });
  });

  it('a knife exactly at its bound leaves no mark that could be measured', () => {
    // Two millimetres a turn, arcs of 62.5 mm: 8 µm.
    const feed = { period: 2, radius: 62.5, positions: [0, 1] };
    const { marks, hidden } = planedSurface([0, -0.008], feed);
    const width = marks.filter(({ knife }) => knife === 1).map(({ from, to }) => to - from);
    expect(Math.max(0, ...width)).toBeLessThan(CLOSE);
    for (const { atMost } of hidden) expect(atMost).toBeCloseTo(-0.008, 15);
  });
});

describe('derivatives of ridges', () => {
  it('are the differences that moving a knife makes', () => {
    const step = 1e-6;
    let seen = 0;
    fc.assert(
      fc.property(blocks(8), ({ heights, feed }) => {
        const { marks, ridges, hidden } = planedSurface(heights, feed);
        // Where a mark is about to vanish or to appear, other knives meet on the other side.
        if (hidden.some(({ knife, atMost }) => atMost - heights[knife]! < 8 * step)) return;
        const least = Math.min(...marks.map(({ from, to }) => to - from));
        const most = Math.max(...ridges.map(({ shift }) => shift));
        if (least < 8 * step * most) return;
        ridges.forEach((ridge) => {
          expect(Math.abs(ridge.byBefore + ridge.byAfter + 1)).toBeLessThan(1e-9);
          if (ridge.before === ridge.after) return;
          const slopes = (knife: number) => {
            const [up, down] = [step, -step].map((by) => {
              const moved = planedSurface(withHeight(heights, knife, heights[knife]! + by), feed);
              // Counted from the ridge as it was, since the highest knife may now be another one;
              // where two knives alone show they meet twice a turn.
              const turns = (y: number) => Math.round((y - ridge.y) / feed.period);
              const away = (y: number) => Math.abs(y - turns(y) * feed.period - ridge.y);
              const [same] = moved.ridges
                .filter(({ before, after }) => before === ridge.before && after === ridge.after)
                .sort((one, other) => away(one.y) - away(other.y));
              return { y: same!.y - turns(same!.y) * feed.period, height: same!.height };
            });
            return {
              y: (up!.y - down!.y) / (2 * step),
              height: (up!.height - down!.height) / (2 * step),
            };
          };
          const [before, after] = [slopes(ridge.before), slopes(ridge.after)];
          const yScale = 1e-7 * Math.max(1, ridge.shift);
          expect(Math.abs(before.y - ridge.shift)).toBeLessThan(yScale);
          expect(Math.abs(after.y + ridge.shift)).toBeLessThan(yScale);
          expect(Math.abs(before.height - ridge.byBefore)).toBeLessThan(1e-6);
          expect(Math.abs(after.height - ridge.byAfter)).toBeLessThan(1e-6);
          seen += 1;
        });
      }),
      { numRuns: 1000 },
    );
    expect(seen).toBeGreaterThan(200);
  });

  it('are, for one knife, no movement along the board and none but its own in height', () => {
    const [ridge] = planedSurface([0.01], feedOf(2, 1, 60, null)).ridges;
    expect(ridge!.byBefore).toBeCloseTo(-0.5, 15);
    expect(ridge!.byAfter).toBeCloseTo(-0.5, 15);
  });
});
