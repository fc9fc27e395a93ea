import type { Machine } from '../machine/machine.js';
import type { Feed } from './feed.js';
import { type Arc, highestKnife, planedSurface, ridgeBetween, showingArcs } from './surface.js';

/** What of an instrument touches the board; null for flat jaws of a width that is not given. */
export type Contact = Machine['instrument']['contact'];

/**
 * What an instrument reads of the planed surface, as the height that a single edge of no ridges
 * would need for the same thickness.
 */
export interface Level {
  /** Counted as the knives' heights are, mm, + proud. */
  readonly level: number;
  /** Derivative of the level by the knives' heights; they add up to 1. */
  readonly weights: readonly { readonly knife: number; readonly weight: number }[];
}

/** Places in a period at which jaws narrower than it are put down: enough for a thousandth of a ridge. */
const PLACES = 48;

/**
 * The level that a contact reads: flat jaws rest on the highest ridge under them, so wide ones on the
 * crest of the surface; a point and a ball go into the hollows, and where along the board they come
 * down is chance, so theirs is the mean over the period. Without a feed there is no surface, and the
 * level is that of the highest knife.
 *
 * @param heights one a knife, mm, + proud
 */
export function contactLevel(
  heights: ArrayLike<number>,
  feed: Feed | null,
  contact: Contact,
): Level {
  if (!feed) {
    const knife = highestKnife(heights);
    return { level: heights[knife]!, weights: [{ knife, weight: 1 }] };
  }
  const size = contact?.size ?? null;
  if (contact?.kind === 'point') return ballLevel(heights, feed, 0);
  if (contact?.kind === 'ball') return ballLevel(heights, feed, (size ?? 0) / 2);
  if (size === null || size >= feed.period) return crestLevel(heights, feed);
  return narrowLevel(heights, feed, size);
}

/** What wide flat jaws see: the highest of the ridges. */
function crestLevel(heights: ArrayLike<number>, feed: Feed): Level {
  const arcs = showingArcs(heights, feed);
  let crest: Level = { level: Infinity, weights: [] };
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

/** Adds up a level from pieces of the period, each read off one knife's arc or off a ridge. */
class MeanLevel {
  private level = 0;
  private readonly weights: Float64Array;

  constructor(
    knives: number,
    private readonly period: number,
  ) {
    this.weights = new Float64Array(knives);
  }

  /** @param integral of the level over the piece, mm² */
  add(integral: number): void {
    this.level += integral / this.period;
  }

  /** @param length of the period on which the level follows that knife's height, mm */
  follow(knife: number, length: number): void {
    this.weights[knife]! += length / this.period;
  }

  get(): Level {
    const weights = Array.from(this.weights, (weight, knife) => ({ knife, weight }));
    return { level: this.level, weights: weights.filter(({ weight }) => weight !== 0) };
  }
}

/**
 * The mean reading of a ball that is put down anywhere along the board: in a hollow its centre runs
 * on an arc of radius R − r, over a ridge on one of radius r. With r = 0 it is a point.
 */
function ballLevel(heights: ArrayLike<number>, feed: Feed, ball: number): Level {
  // A ball too big for the hollows never leaves the ridges.
  const shrink = Math.max(0, 1 - ball / feed.radius);
  const { marks } = planedSurface(heights, feed);
  const mean = new MeanLevel(heights.length, feed.period);
  marks.forEach((mark, m) => {
    const next = marks[(m + 1) % marks.length]!;
    const height = heights[mark.knife]!;
    const [from, to] = [mark.from - mark.y, mark.to - mark.y];
    // ∫ h − t²/(2R·shrink) over the shrunk hollow; t = shrink·s.
    const length = shrink * (to - from);
    mean.add(height * length - (shrink ** 2 * (to ** 3 - from ** 3)) / (6 * feed.radius));
    mean.follow(mark.knife, length);
    const gap = (next.y - mark.y + feed.period) % feed.period || feed.period;
    const over = (1 - shrink) * gap;
    const ridge = height - to ** 2 / (2 * feed.radius);
    // From one hollow's end to the next one's start, measured from the ridge.
    const [left, right] = [(shrink - 1) * to, (shrink - 1) * (to - gap)];
    const rise = ball > 0 ? (right ** 3 - left ** 3) / (6 * ball) : 0;
    mean.add(ridge * over + rise);
    mean.follow(mark.knife, over * (1 - to / gap));
    mean.follow(next.knife, (over * to) / gap);
  });
  return mean.get();
}

/** The mean reading of flat jaws narrower than the period, put down at many places along it. */
function narrowLevel(heights: ArrayLike<number>, feed: Feed, width: number): Level {
  const arcs = showingArcs(heights, feed);
  const mean = new MeanLevel(heights.length, feed.period);
  const share = feed.period / PLACES;
  for (let place = 0; place < PLACES; place++) {
    const from = arcs[0]!.y + (place + 0.5) * share - width / 2;
    const { level, weights } = highestUnder(arcs, from, from + width, heights, feed);
    mean.add(level * share);
    for (const { knife, weight } of weights) mean.follow(knife, weight * share);
  }
  return mean.get();
}

/** The highest place of the surface under jaws: a ridge, or the surface under one of their edges. */
function highestUnder(
  arcs: readonly Arc[],
  from: number,
  to: number,
  heights: ArrayLike<number>,
  feed: Feed,
): Level {
  let highest: Level = { level: Infinity, weights: [] };
  const consider = (level: number, weights: () => Level['weights']) => {
    if (level < highest.level) highest = { level, weights: weights() };
  };
  for (const turn of [-feed.period, 0, feed.period]) {
    for (let m = 1; m < arcs.length; m++) {
      const [a, b] = [arcs[m - 1]!, arcs[m]!];
      const reach = ridgeBetween(a, b, heights, feed) - a.y;
      const y = a.y + reach + turn;
      if (y < from || y > to) continue;
      const share = reach / (b.y - a.y);
      consider(heights[a.knife]! - reach ** 2 / (2 * feed.radius), () => [
        { knife: a.knife, weight: 1 - share },
        { knife: b.knife, weight: share },
      ]);
    }
  }
  for (const y of [from, to]) {
    const { knife, level } = surfaceAt(arcs, y, heights, feed);
    consider(level, () => [{ knife, weight: 1 }]);
  }
  return highest;
}

function surfaceAt(
  arcs: readonly Arc[],
  y: number,
  heights: ArrayLike<number>,
  feed: Feed,
): { readonly knife: number; readonly level: number } {
  let best = { knife: 0, level: -Infinity };
  for (const arc of arcs) {
    const turns = Math.round((y - arc.y) / feed.period);
    for (const turn of [turns - 1, turns, turns + 1]) {
      const along = y - arc.y - turn * feed.period;
      const level = heights[arc.knife]! - along ** 2 / (2 * feed.radius);
      if (level > best.level) best = { knife: arc.knife, level };
    }
  }
  return best;
}
