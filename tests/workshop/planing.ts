/**
 * The surface that the block leaves along the board, ridge by ridge, from the exact path of each edge:
 * no arc is replaced by a parabola, and the feed may be as uneven as it likes.
 */
import { feedPerRevolution } from './cutting.js';
import type { Random } from './random.js';
import { edgeAt, passesAt, type Shop } from './shop.js';

/** How far along the board the block's axis stands, mm, after so many revolutions; never backwards. */
export type Feeding = (revolutions: number) => number;

/** What makes a feed uneven. */
export interface Unevenness {
  /** By what share the feed grows with every revolution. */
  readonly drift?: number;
  /** At which revolution the board stands still until it lags so many mm. */
  readonly slip?: { readonly at: number; readonly by: number };
  /** Standard deviation of a revolution's feed, as a share. */
  readonly waver?: number;
}

/** A stretch of a board, planed under power. */
export interface Stretch {
  /** Where along the board the block's axis stands when the first knife passes at turn 0. */
  readonly from: number;
  readonly revolutions: number;
  readonly feeding: Feeding;
}

/** One ridge of the planed surface. */
export interface TrueRidge {
  /** From the board's leading end, mm. */
  readonly y: number;
  /** Above the lowest point of the nominal cutting circle, mm. */
  readonly z: number;
  /** Index of the knife that cut the mark that begins here. */
  readonly knife: number;
}

/** One edge on its way through the wood once. */
interface Pass {
  readonly knife: number;
  readonly height: number;
  readonly radius: number;
  /** Revolutions at which it passes lowest. */
  readonly turn: number;
}

/** Revolutions for which an uneven feed is drawn; before and after them it is even. */
const DRAWN = 200;

/** A feed at which the shop's board goes, as uneven as told. */
export function feedingOf(shop: Shop, uneven: Unevenness, random: Random): Feeding {
  const even = feedPerRevolution(shop);
  const stops = [0];
  for (let i = 0; i < DRAWN; i++) {
    const share = uneven.waver ? Math.max(0.1, 1 + random.normal(uneven.waver)) : 1;
    stops.push(stops[i]! + even * share);
  }
  const wavering = (turns: number) => {
    const whole = Math.min(DRAWN - 1, Math.max(0, Math.floor(turns)));
    return stops[whole]! + (stops[whole + 1]! - stops[whole]!) * (turns - whole);
  };
  const drifting = (turns: number) => ((uneven.drift ?? 0) * even * turns ** 2) / 2;
  const { at, by } = uneven.slip ?? { at: 0, by: 0 };
  const lag = (turns: number) => Math.min(by, Math.max(0, (turns - at) * even));
  return (turns) => wavering(turns) + drifting(turns) - lag(turns);
}

/**
 * How high above the nominal circle's lowest point an edge passes at y. The block turns while the
 * board is fed against the cut: y = s(t) + r·sin θ, lowest at θ = 0, with θ = 2π(t − turn).
 */
function pathAt(pass: Pass, stretch: Stretch, y: number): number {
  const { radius, turn, height } = pass;
  let angle = 0;
  // The feed is a small part of the edge's way, so each round gains about two digits.
  for (let i = 0; i < 30; i++) {
    const axis = stretch.from + stretch.feeding(turn + angle / (2 * Math.PI));
    const next = Math.asin(Math.min(1, Math.max(-1, (y - axis) / radius)));
    const isSettled = Math.abs(next - angle) < 1e-17;
    angle = next;
    if (isSettled) break;
  }
  return 2 * radius * Math.sin(angle / 2) ** 2 - height;
}

/** Where two paths cross between two places, of which the first is cut by `a`; null where `a` stays lower. */
function crossing(
  a: Pass,
  b: Pass,
  stretch: Stretch,
  [from, to]: readonly [number, number],
): number | null {
  const lead = (y: number) => pathAt(b, stretch, y) - pathAt(a, stretch, y);
  let [low, high] = [from, to];
  let [atLow, atHigh] = [lead(low), lead(high)];
  if (atHigh >= 0) return null;
  if (atLow <= 0) return from;
  // False position; an end that stays put twice has its weight halved.
  let kept = 0;
  let y = from;
  for (let i = 0; i < 100; i++) {
    const before = y;
    y = (low * atHigh - high * atLow) / (atHigh - atLow);
    if (Math.abs(y - before) < 1e-13) break;
    const at = lead(y);
    if (at > 0) {
      [low, atLow] = [y, at];
      if (kept > 0) atHigh /= 2;
      kept = 1;
    } else {
      [high, atHigh] = [y, at];
      if (kept < 0) atLow /= 2;
      kept = -1;
    }
  }
  return y;
}

function passesOf(shop: Shop, x: number, revolutions: number): Pass[] {
  const passes: Pass[] = [];
  for (let revolution = -1; revolution <= revolutions + 2; revolution++) {
    shop.knives.forEach((knife, k) => {
      const height = edgeAt(shop, knife, x);
      const turn = revolution + passesAt(shop, k);
      passes.push({ knife: k, height, radius: shop.radius + height, turn });
    });
  }
  return passes;
}

/** Every ridge at x along a stretch, with the knife whose mark begins there. */
export function ridgesOf(shop: Shop, x: number, stretch: Stretch): TrueRidge[] {
  const passes = passesOf(shop, x, stretch.revolutions);
  const lowestAt = (pass: Pass) => stretch.from + stretch.feeding(pass.turn);
  const end = stretch.from + stretch.feeding(stretch.revolutions);
  const ridges: TrueRidge[] = [];
  // The highest knife shows at its own lowest point, whatever the others do.
  const highest = Math.max(...passes.map(({ height }) => height));
  let at = passes.findIndex(({ height }) => height === highest);
  let y = lowestAt(passes[at]!);
  while (y <= end) {
    const next = nextRidge(passes, at, y, stretch, shop.knives.length, lowestAt);
    if (!next) break;
    ({ at, y } = next);
    const { knife } = passes[at]!;
    if (y >= stretch.from && y <= end) {
      ridges.push({ y, z: pathAt(passes[at]!, stretch, y), knife });
    }
  }
  return ridges;
}

/** The first path that comes to lie below the present one: at the latest the same knife's next. */
function nextRidge(
  passes: readonly Pass[],
  at: number,
  y: number,
  stretch: Stretch,
  knives: number,
  lowestAt: (pass: Pass) => number,
): { at: number; y: number } | null {
  const again = passes[at + knives];
  if (!again) return null;
  let next: { at: number; y: number } | null = null;
  for (let other = at + 1; other <= at + knives; other++) {
    const range = [y, Math.max(y, lowestAt(again))] as const;
    const there = crossing(passes[at]!, passes[other]!, stretch, range);
    if (there !== null && (next === null || there <= next.y)) next = { at: other, y: there };
  }
  return next;
}

/** Revolutions after which an evenly planed surface has shown all it has. */
const ENOUGH = 3;

function evenly(shop: Shop): Stretch {
  const period = feedPerRevolution(shop);
  return { from: 0, revolutions: ENOUGH, feeding: (turns) => turns * period };
}

/** Indices of the knives that leave a mark at x, however narrow, at the shop's even feed. */
export function trulyShowing(shop: Shop, x: number): ReadonlySet<number> {
  return new Set(ridgesOf(shop, x, evenly(shop)).map(({ knife }) => knife));
}

/**
 * The height from which on a knife would leave a mark at x between the others: that at which its path
 * touches the first ridge of theirs, since a path meets an earlier one from above, a later one from below.
 */
export function showsFrom(shop: Shop, x: number, knife: number): number {
  const angles = shop.knives.map((_, k) => 360 * passesAt(shop, k));
  const others = {
    ...shop,
    knives: shop.knives.filter((_, k) => k !== knife),
    angles: angles.filter((_, k) => k !== knife),
  };
  const stretch = evenly(shop);
  // Angles count from the first of the others, which is the second knife where the first is left out.
  const ahead = knife === 0 ? angles[1]! / 360 : 0;
  const turn = 1 + passesAt(shop, knife) - ahead;
  const needed = ridgesOf(others, x, stretch).map((ridge) => reachTo(shop, ridge, turn, stretch));
  return Math.min(...needed);
}

/** The height of an edge that passes lowest at a turn and whose path goes through a ridge. */
function reachTo(shop: Shop, ridge: TrueRidge, turn: number, stretch: Stretch): number {
  const depth = shop.radius - ridge.z;
  let angle = 0;
  for (let i = 0; i < 20; i++) {
    const axis = stretch.from + stretch.feeding(turn + angle / (2 * Math.PI));
    angle = Math.atan((ridge.y - axis) / depth);
  }
  return depth / Math.cos(angle) - shop.radius;
}
