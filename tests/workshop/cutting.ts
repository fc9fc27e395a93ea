import { axisAt, edgeAt, passesAt, type Shop, type TrueKnife } from './shop.js';

/** Grid points a revolution on which a planed surface is followed. */
const POINTS = 200;

/**
 * What jaws read at a hand-cut scoop: the scoop is the circle of that knife's edge, and jaws of some
 * width, held off its bottom, rest on their farther rim.
 *
 * @param off how far along the board from the scoop's bottom, mm
 * @param jawWidth mm, along the board
 */
export function scoopThickness(
  shop: Shop,
  knife: TrueKnife,
  x: number,
  off: number,
  jawWidth: number,
): number {
  const edge = shop.radius + edgeAt(shop, knife, x);
  const rim = Math.abs(off) + jawWidth / 2;
  return shop.handGap + shop.radius + axisAt(shop, x) - Math.sqrt(edge ** 2 - rim ** 2);
}

/** Feed a revolution, mm. */
export function feedPerRevolution(shop: Shop): number {
  return shop.feedSpeed / shop.speed;
}

/**
 * How deep an edge reaches below the block's axis at a distance along the board from where it passes
 * lowest. Seen from the board the edge runs along a trochoid against the feed:
 * y = P·θ/2π + r·sin θ, depth = r·cos θ.
 */
export function trochoidDepth(distance: number, edge: number, period: number): number {
  const advance = period / (2 * Math.PI);
  let angle = distance / (edge + advance);
  for (let i = 0; i < 3; i++) {
    const miss = advance * angle + edge * Math.sin(angle) - distance;
    angle -= miss / (advance + edge * Math.cos(angle));
  }
  return edge * Math.cos(angle);
}

/** Depth below the axis of the surface that all knives leave together, at y along the board. */
export function surfaceDepth(shop: Shop, edges: readonly number[], y: number): number {
  const period = feedPerRevolution(shop);
  let deepest = 0;
  edges.forEach((edge, k) => {
    // Of one knife's passes the nearest goes deepest.
    const passed = y - passesAt(shop, k) * period;
    const distance = passed - period * Math.round(passed / period);
    deepest = Math.max(deepest, trochoidDepth(distance, edge, period));
  });
  return deepest;
}

/**
 * What flat jaws read on a planed face: they rest on the highest crests under them.
 *
 * @param from where along the board the jaws begin, mm
 * @param jawWidth mm, along the board
 */
export function planedThickness(shop: Shop, x: number, from: number, jawWidth: number): number {
  const edges = shop.knives.map((knife) => shop.radius + edgeAt(shop, knife, x));
  const step = feedPerRevolution(shop) / POINTS;
  let shallowest = Number.POSITIVE_INFINITY;
  // A revolution of the surface is all there is to see: it repeats.
  const seen = Math.min(jawWidth, feedPerRevolution(shop));
  for (let y = from; y <= from + seen; y += step) {
    shallowest = Math.min(shallowest, surfaceDepth(shop, edges, y));
  }
  return shop.powerGap + shop.radius + axisAt(shop, x) - shallowest;
}
