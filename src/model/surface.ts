/**
 * The planed surface under power. Edges pass at y_m = y_k + j·P; each leaves, to second order, the
 * arc (y − y_m)²/(2R) − h_m, and what remains is the lower envelope of all arcs. Subtracting the
 * common y²/(2R) turns the arcs into straight lines, so the envelope is exact and takes linear time:
 * the knives are sorted by where they pass.
 */
import { type Feed, gapsOf } from './feed.js';

/** One arc of the surface: which knife left it and where its lowest point lies along the board. */
export interface Arc {
  readonly knife: number;
  readonly y: number;
}

/**
 * The arcs that show over one revolution, from the highest knife's to its next one inclusive.
 *
 * @param heights one a knife, mm, + proud
 */
export function showingArcs(heights: ArrayLike<number>, feed: Feed): readonly Arc[] {
  const count = heights.length;
  let highest = 0;
  for (let k = 1; k < count; k++) if (heights[k]! > heights[highest]!) highest = k;
  const stack: Arc[] = [];
  for (let m = highest; m <= highest + count; m++) {
    const knife = m % count;
    const turn = m >= count ? feed.period : 0;
    const arc = { knife, y: feed.positions[knife]! + turn };
    while (
      stack.length > 1 &&
      isHidden(stack[stack.length - 2]!, stack[stack.length - 1]!, arc, heights, feed)
    ) {
      stack.pop();
    }
    stack.push(arc);
  }
  return stack;
}

/** Where the ridge between two neighbouring arcs lies. */
export function ridgeBetween(a: Arc, b: Arc, heights: ArrayLike<number>, feed: Feed): number {
  const gap = b.y - a.y;
  return a.y + gap / 2 + (feed.radius * (heights[a.knife]! - heights[b.knife]!)) / gap;
}

function isHidden(a: Arc, b: Arc, c: Arc, heights: ArrayLike<number>, feed: Feed): boolean {
  return ridgeBetween(a, b, heights, feed) >= ridgeBetween(b, c, heights, feed);
}

/** A ridge, and the knives whose marks meet there. */
export interface SurfaceRidge {
  /** The knife whose mark ends here, and the one whose mark begins. */
  readonly before: number;
  readonly after: number;
  /** Along the board, mm. */
  readonly y: number;
  /** Above the bottom of a hollow whose knife stands at height 0, mm. */
  readonly height: number;
  /**
   * Derivative of the height by the height of `before`, and by that of `after`; they add up to −1.
   */
  readonly byBefore: number;
  readonly byAfter: number;
  /** Derivative of y by the height of `before`; by that of `after` it is the opposite. */
  readonly shift: number;
}

/** A mark: the hollow that one knife leaves, from ridge to ridge. */
export interface Mark {
  readonly knife: number;
  /** Where its arc is lowest; that need not lie between its ridges. */
  readonly y: number;
  readonly from: number;
  readonly to: number;
}

/** A knife that leaves no mark, and the showing arcs on either side of where it passes. */
export interface Hidden {
  readonly knife: number;
  readonly before: number;
  readonly after: number;
  /** The share of `after` in the bound; that of `before` is the rest. */
  readonly share: number;
  /** How far its arc's lowest point would have to reach below the line between theirs, mm. */
  readonly depth: number;
  /** It stands no higher than this: heights[before] and heights[after] shared out, less the depth. */
  readonly atMost: number;
}

/** One revolution of the surface: as many ridges as marks, each mark beginning at its ridge. */
export interface PlanedSurface {
  readonly marks: readonly Mark[];
  readonly ridges: readonly SurfaceRidge[];
  readonly hidden: readonly Hidden[];
  /** Highest ridge above lowest hollow, mm. */
  readonly ridgeHeight: number;
}

/**
 * The surface that knives of given heights leave.
 *
 * @param heights one a knife, mm, + proud, as many as the feed has positions
 * @returns ridges, marks and hidden knives of one revolution, in the order in which they follow each
 *   other along the board, the highest knife's mark first
 */
export function planedSurface(heights: ArrayLike<number>, feed: Feed): PlanedSurface {
  const arcs = showingArcs(heights, feed);
  const ridges: SurfaceRidge[] = [];
  const hidden: Hidden[] = [];
  let crest = -Infinity;
  for (let i = 1; i < arcs.length; i++) {
    const [a, b] = [arcs[i - 1]!, arcs[i]!];
    const ridge = ridgeOf(a, b, heights, feed);
    crest = Math.max(crest, ridge.height);
    ridges.push(ridge);
    addHidden(hidden, a, b, heights, feed);
  }
  const marks = ridges.map((end, i): Mark => {
    const from = i === 0 ? ridges[ridges.length - 1]!.y - feed.period : ridges[i - 1]!.y;
    return { knife: end.before, y: arcs[i]!.y, from, to: end.y };
  });
  // Each mark begins at the ridge before it.
  const last = ridges.pop()!;
  ridges.unshift({ ...last, y: last.y - feed.period });
  return { marks, ridges, hidden, ridgeHeight: crest + heights[arcs[0]!.knife]! };
}

function ridgeOf(a: Arc, b: Arc, heights: ArrayLike<number>, feed: Feed): SurfaceRidge {
  const gap = b.y - a.y;
  const y = ridgeBetween(a, b, heights, feed);
  const share = (y - a.y) / gap;
  return {
    before: a.knife,
    after: b.knife,
    y,
    height: (y - a.y) ** 2 / (2 * feed.radius) - heights[a.knife]!,
    byBefore: share - 1,
    byAfter: -share,
    shift: feed.radius / gap,
  };
}

function addHidden(hidden: Hidden[], a: Arc, b: Arc, heights: ArrayLike<number>, feed: Feed): void {
  const count = heights.length;
  for (let knife = (a.knife + 1) % count; knife !== b.knife; knife = (knife + 1) % count) {
    const at = feed.positions[knife]!;
    hidden.push(hiddenBetween(knife, at < a.y ? at + feed.period : at, a, b, heights, feed));
  }
}

/** What hides a knife that passes at y between two showing arcs. */
export function hiddenBetween(
  knife: number,
  y: number,
  a: Arc,
  b: Arc,
  heights: ArrayLike<number>,
  feed: Feed,
): Hidden {
  const share = (y - a.y) / (b.y - a.y);
  const depth = ((y - a.y) * (b.y - y)) / (2 * feed.radius);
  const line = heights[a.knife]! + share * (heights[b.knife]! - heights[a.knife]!);
  return { knife, before: a.knife, after: b.knife, share, depth, atMost: line - depth };
}

/** The share of each showing knife in the line that a hidden one lies below. */
export function lineShares({
  before,
  after,
  share,
}: Pick<Hidden, 'before' | 'after' | 'share'>): Map<number, number> {
  return before === after
    ? new Map([[before, 1]])
    : new Map([
        [before, 1 - share],
        [after, share],
      ]);
}

/**
 * Indices of the knives that leave a mark: their arcs take part in the surface. Without a feed there
 * is no surface, and it is the highest knife.
 */
export function showingKnives(heights: ArrayLike<number>, feed: Feed | null): ReadonlySet<number> {
  if (!feed) return new Set([highestKnife(heights)]);
  return new Set(showingArcs(heights, feed).map((arc) => arc.knife));
}

/** Index of the knife that stands highest; the first of several. */
export function highestKnife(heights: ArrayLike<number>): number {
  let knife = 0;
  for (let k = 1; k < heights.length; k++) if (heights[k]! > heights[knife]!) knife = k;
  return knife;
}

/**
 * How far apart the highest and the lowest knife may stand for every knife to leave a mark, however
 * the heights are dealt out, and how low one knife may be, the others equal, before it leaves none:
 * the least over the knives of g₁·g₂/(2R), p²/(2R) when evenly spaced; null for a single knife.
 */
export function allShowWithin(feed: Feed): number | null {
  const gaps = gapsOf(feed);
  if (gaps.length < 2) return null;
  const products = gaps.map((gap, k) => gap * gaps.at(k - 1)!);
  return Math.min(...products) / (2 * feed.radius);
}

/**
 * How low all other knives, equal, must be before one knife finishes alone, whichever leads: the
 * most over leader and other of d·(P − d)/(2R), P²/(8R) for an even number of knives evenly spaced;
 * null for a single knife.
 */
export function oneFinishesBelow({ positions, period, radius }: Feed): number | null {
  if (positions.length < 2) return null;
  let most = 0;
  for (const leader of positions) {
    for (const other of positions) {
      const apart = Math.abs(other - leader);
      most = Math.max(most, (apart * (period - apart)) / (2 * radius));
    }
  }
  return most;
}
