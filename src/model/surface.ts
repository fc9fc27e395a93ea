/**
 * The planed surface under power. Edges pass at y_m = y_k + j·P; each leaves, to second order, the
 * arc (y − y_m)²/(2R) − h_m, and what remains is the lower envelope of all arcs. Subtracting the
 * common y²/(2R) turns the arcs into straight lines, so the envelope is exact and takes linear time.
 * Cutting against the feed an edge runs on a trochoid, whose arc is flatter than its circle: R is
 * the cutting radius plus P/π throughout.
 */
export interface Feed {
  /** Feed a revolution, mm. */
  readonly period: number;
  /** Radius of the arcs: cutting radius + period/π, mm. */
  readonly radius: number;
  /** Where in the period each knife passes, ascending from 0, mm. */
  readonly positions: readonly number[];
}

/** One arc of the surface: which knife left it and where its lowest point lies along the board. */
export interface Arc {
  readonly knife: number;
  readonly y: number;
}

/**
 * The feed of evenly spaced knives, or of knives that stand at the given angles.
 *
 * @param feedPerKnife mm
 * @param cuttingRadius mm
 * @param angles degrees round the block, one a knife, or null where they are evenly spaced
 */
export function feedOf(
  feedPerKnife: number,
  knives: number,
  cuttingRadius: number,
  angles: readonly number[] | null,
): Feed {
  const period = feedPerKnife * knives;
  const positions = angles
    ? angles.map((angle) => ((angle - angles[0]!) / 360) * period)
    : Array.from({ length: knives }, (_, k) => k * feedPerKnife);
  return { period, radius: cuttingRadius + period / Math.PI, positions };
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
      isHidden(stack[stack.length - 2]!, stack.at(-1)!, arc, heights, feed)
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

export interface Crest {
  /** Height of the cut that flat jaws see: the highest ridge stands this far above −level. */
  readonly level: number;
  /** Derivative of the level by each knife's height: two knives share a weight of 1. */
  readonly weights: readonly { readonly knife: number; readonly weight: number }[];
}

/**
 * The level of the surface's crests, which flat jaws rest on, as the height that a single edge of no
 * ridges would need: the lowest of the ridges' heights, counted as the knives' heights are.
 * Without a feed there is no surface, and the level is that of the highest knife.
 */
export function crestLevel(heights: ArrayLike<number>, feed: Feed | null): Crest {
  if (!feed) return highestKnife(heights);
  const arcs = showingArcs(heights, feed);
  let crest: Crest = { level: Infinity, weights: [] };
  for (let m = 1; m < arcs.length; m++) {
    const [a, b] = [arcs[m - 1]!, arcs[m]!];
    const gap = b.y - a.y;
    const reach = ridgeBetween(a, b, heights, feed) - a.y;
    const level = heights[a.knife]! - reach ** 2 / (2 * feed.radius);
    if (level < crest.level) {
      const weights = [
        { knife: a.knife, weight: 1 - reach / gap },
        { knife: b.knife, weight: reach / gap },
      ];
      crest = { level, weights };
    }
  }
  return crest;
}

function highestKnife(heights: ArrayLike<number>): Crest {
  let knife = 0;
  for (let k = 1; k < heights.length; k++) if (heights[k]! > heights[knife]!) knife = k;
  return { level: heights[knife]!, weights: [{ knife, weight: 1 }] };
}

/**
 * Indices of the knives that leave a mark: their arcs take part in the surface. Without a feed there
 * is no surface, and it is the highest knife.
 */
export function showingKnives(heights: ArrayLike<number>, feed: Feed | null): ReadonlySet<number> {
  if (!feed) return new Set(highestKnife(heights).weights.map(({ knife }) => knife));
  return new Set(showingArcs(heights, feed).map((arc) => arc.knife));
}

/**
 * How far apart the highest and the lowest knife may stand for every knife to leave a mark, however
 * the heights are dealt out: the least over the knives of g₁·g₂/(2R), p²/(2R) when evenly spaced;
 * null for a single knife.
 */
export function allShowWithin(feed: Feed): number | null {
  const count = feed.positions.length;
  if (count < 2) return null;
  let least = Infinity;
  for (let k = 0; k < count; k++) {
    const before = k === 0 ? feed.positions[count - 1]! - feed.period : feed.positions[k - 1]!;
    const after = k === count - 1 ? feed.positions[0]! + feed.period : feed.positions[k + 1]!;
    const here = feed.positions[k]!;
    least = Math.min(least, ((here - before) * (after - here)) / (2 * feed.radius));
  }
  return least;
}
