import { unitFactor } from './length.js';
import { type FactorOf, parseQuantity, type QuantityReading } from './quantity.js';

/** How many of one unit of time are a minute, under every spelling. */
export const TIME_UNITS: ReadonlyMap<string, number> = new Map([
  ...['s', 'sec', 'second'].map((name) => [name, 60] as const),
  ...['min', 'minute'].map((name) => [name, 1] as const),
  ...['h', 'hr', 'hour'].map((name) => [name, 1 / 60] as const),
]);

/** Feed speeds with names of their own, mm/min. */
export const NAMED_FEEDS: ReadonlyMap<string, number> = new Map([
  ['fpm', 304.8],
  ['mpm', 1000],
]);

export const TURN_NAMES = ['r', 'rev', 'revs', 'revolution', 'revolutions', 'turn', 'turns', '1'];
export const NAMED_ROTATIONS: ReadonlyMap<string, number> = new Map([
  ['rpm', 1],
  ['r.p.m.', 1],
  ['min-1', 1],
  ['min^-1', 1],
  ['min⁻¹', 1],
  ['rps', 60],
  ['s-1', 60],
  ['s^-1', 60],
  ['s⁻¹', 60],
  ['hz', 60],
]);

/** mm/min in one unit of feed speed such as `m/min`, `ft/min`, `mm per second`; null when unknown. */
export function feedFactor(name: string): number | null {
  const key = name.trim().toLowerCase();
  const [above, below] = splitRate(key);
  const length = above === null ? null : unitFactor(above);
  const perMinute = TIME_UNITS.get(below) ?? null;
  if (length === null || perMinute === null) return NAMED_FEEDS.get(key) ?? null;
  return length * perMinute;
}

/** Revolutions a minute in one unit of rotation such as `rpm`, `rev/s`, `Hz`; null when unknown. */
export function rotationFactor(name: string): number | null {
  const key = name.trim().toLowerCase();
  const [above, below] = splitRate(key);
  const perMinute = TIME_UNITS.get(below) ?? null;
  if (above === null || !TURN_NAMES.includes(above) || perMinute === null) {
    return NAMED_ROTATIONS.get(key) ?? null;
  }
  return perMinute;
}

function splitRate(name: string): [string | null, string] {
  const [above, below, ...more] = name.split(/\s*\/\s*|\s+per\s+|\s+an?\s+/);
  return below === undefined || more.length > 0 ? [null, ''] : [above!, below];
}

/** Reads a feed speed such as `9 m/min`. @returns mm/min, or what is wrong */
export function parseFeed(text: string, factorOf: FactorOf = feedFactor): QuantityReading {
  return parseQuantity(text, factorOf, null);
}

/** Reads a speed of rotation such as `4500 rpm`. @returns revolutions a minute, or what is wrong */
export function parseRotation(text: string, factorOf: FactorOf = rotationFactor): QuantityReading {
  return parseQuantity(text, factorOf, null);
}

/** A feed speed for people, to three digits: `9 m/min`, `29.5 ft/min`. */
export function formatFeed(mmPerMinute: number, unit: 'mm' | 'in'): string {
  const { name, mm } = FEED_UNITS[unit];
  return `${Number((mmPerMinute / mm).toPrecision(3))} ${name}`;
}

/** mm/min in the feed speed that people speak of where lengths are in mm or in inches. */
export const FEED_UNITS = {
  mm: { name: 'm/min', mm: 1000 },
  in: { name: 'ft/min', mm: 304.8 },
} as const;
