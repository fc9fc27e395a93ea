import type { Machine } from '../machine/machine.js';
import type { Feed } from './feed.js';
import {
  highestKnife,
  type Mark,
  planedSurface,
  ridgeBetween,
  type SurfaceRidge,
  showingArcs,
} from './surface.js';

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
  if (ball > feed.radius) return bigBallLevel(heights, feed, ball);
  const shrink = 1 - ball / feed.radius;
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
    // A higher ridge is also a moved one; over all places at which the ball rests on it, the two
    // knives count alike.
    mean.follow(mark.knife, over / 2);
    mean.follow(next.knife, over / 2);
  });
  return mean.get();
}

/**
 * The mean reading of a ball too big for the hollows, which rests on ridges only: its lowest point
 * runs over each on an arc of its own radius, so that the ridges stand to it as knives to a board.
 */
function bigBallLevel(heights: ArrayLike<number>, feed: Feed, ball: number): Level {
  const { ridges } = planedSurface(heights, feed);
  const crests = ridges.map(({ height }) => height);
  const positions = ridges.map(({ y }) => y);
  const mean = new MeanLevel(heights.length, feed.period);
  for (const mark of planedSurface(crests, { ...feed, radius: ball, positions }).marks) {
    const { before, after, height, byBefore, byAfter, shift } = ridges[mark.knife]!;
    const [from, to] = [mark.from - mark.y, mark.to - mark.y];
    mean.add((to ** 3 - from ** 3) / (6 * ball) - height * (to - from));
    const moved = (shift * (to ** 2 - from ** 2)) / (2 * ball);
    mean.follow(before, -byBefore * (to - from) - moved);
    mean.follow(after, -byAfter * (to - from) + moved);
  }
  return mean.get();
}

/**
 * The mean reading of flat jaws narrower than the period that are put down anywhere along the board.
 * They rest on the highest ridge under them or with an edge on the surface beside it. Between the
 * places where a ridge comes under an edge, each of these is one curve; where two of them cross, the
 * jaws begin to rest on the other.
 */
function narrowLevel(heights: ArrayLike<number>, feed: Feed, width: number): Level {
  const { period, radius } = feed;
  const { marks, ridges } = planedSurface(heights, feed);
  const mean = new MeanLevel(heights.length, period);
  const start = ridges[0]!.y;
  const turned = (y: number) => start + ((((y - start) % period) + period) % period);
  const passings = ridges.flatMap(({ y }) => [turned(y - width / 2), turned(y + width / 2)]);
  const cuts = [...new Set([start, ...passings, start + period])].sort((a, b) => a - b);
  for (let i = 1; i < cuts.length; i++) {
    const [from, to] = [cuts[i - 1]!, cuts[i]!];
    const rests = restsUnder(marks, ridges, (from + to) / 2, width, heights, feed);
    const inner = [from, ...crossings(rests, radius).filter((y) => y > from && y < to), to];
    inner.sort((a, b) => a - b);
    for (let j = 1; j < inner.length; j++) addRest(mean, rests, inner[j - 1]!, inner[j]!, radius);
  }
  return mean.get();
}

/** What jaws may rest on: an arc, whose level falls off from its lowest point, or a ridge. */
interface Rest {
  /** Where the middle of the jaws is when the edge is at the arc's lowest point; null for a ridge. */
  readonly y: number | null;
  readonly level: number;
  readonly weights: Level['weights'];
}

function levelAt({ y, level }: Rest, at: number, radius: number): number {
  return y === null ? level : level - (at - y) ** 2 / (2 * radius);
}

/** Adds the piece over which the jaws rest on one thing; the level there is a parabola or constant. */
function addRest(
  mean: MeanLevel,
  rests: readonly Rest[],
  from: number,
  to: number,
  radius: number,
) {
  const middle = (from + to) / 2;
  const rest = rests.reduce((low, other) =>
    levelAt(other, middle, radius) < levelAt(low, middle, radius) ? other : low,
  );
  const [first, half, last] = [from, middle, to].map((y) => levelAt(rest, y, radius));
  // Simpson's rule is exact for a parabola.
  mean.add(((first! + 4 * half! + last!) * (to - from)) / 6);
  for (const { knife, weight } of rest.weights) mean.follow(knife, weight * (to - from));
}

/** Where two things that the jaws may rest on are as high as each other. */
function crossings(rests: readonly Rest[], radius: number): number[] {
  return rests.flatMap((a, i) =>
    rests.slice(i + 1).flatMap((b) => {
      if (a.y !== null && b.y !== null) {
        return [(a.y + b.y) / 2 + (radius * (a.level - b.level)) / (b.y - a.y)];
      }
      const [arc, ridge] = a.y === null ? [b, a] : [a, b];
      const reach = Math.sqrt(2 * radius * (arc.level - ridge.level));
      return arc.y === null ? [] : [arc.y - reach, arc.y + reach];
    }),
  );
}

/** What jaws whose middle is at y may rest on: either edge's arc, and the highest ridge between. */
function restsUnder(
  marks: readonly Mark[],
  ridges: readonly SurfaceRidge[],
  y: number,
  width: number,
  heights: ArrayLike<number>,
  { period }: Feed,
): readonly Rest[] {
  const edges = [-width / 2, width / 2].map((across): Rest => {
    const turns = Math.floor((y + across - marks[0]!.from) / period);
    const at = y + across - turns * period;
    const mark = marks.find(({ to }) => at < to) ?? marks.at(-1)!;
    return {
      y: mark.y + turns * period - across,
      level: heights[mark.knife]!,
      weights: [{ knife: mark.knife, weight: 1 }],
    };
  });
  const under = ridges.filter(
    (ridge) => ridge.y + Math.ceil((y - width / 2 - ridge.y) / period) * period < y + width / 2,
  );
  if (under.length === 0) return edges;
  const { height, before, after, byBefore, byAfter } = under.reduce((high, ridge) =>
    ridge.height > high.height ? ridge : high,
  );
  const weights = [
    { knife: before, weight: -byBefore },
    { knife: after, weight: -byAfter },
  ];
  return [...edges, { y: null, level: -height, weights }];
}
