import { type FactorOf, parseQuantity, type QuantityReading } from './quantity.js';

const INCH = 25.4;

/** mm in one unit, under every spelling, in lower case. The inch is 25.4 mm exactly. */
export const LENGTH_UNITS: ReadonlyMap<string, number> = new Map([
  ...spelled(1, 'mm mm. millimetre millimetres millimeter millimeters'),
  ...spelled(10, 'cm centimetre centimetres centimeter centimeters'),
  ...spelled(1000, 'm metre metres meter meters'),
  ...spelled(INCH, "in in. ins inch inches \" ” “ ″ '' ’’ ′′"),
  ...spelled(304.8, 'ft foot feet'),
  ...spelled(0.0254, 'thou thous mil mils'),
  // The micro sign U+00B5 and the Greek letter U+03BC look alike and both occur.
  ...spelled(
    0.001,
    '\u00b5m \u03bcm um micron microns micrometre micrometres micrometer micrometers',
  ),
]);

function spelled(factor: number, names: string): [string, number][] {
  return names.split(' ').map((name) => [name, factor]);
}

/**
 * Millimetres in one unit of length.
 * @param name the unit as written, case-blind, with or without blanks around it
 * @returns null when it is no unit of length known here
 */
export function unitFactor(name: string): number | null {
  return LENGTH_UNITS.get(name.trim().toLowerCase()) ?? null;
}

/**
 * Reads a length such as `1/4 in`, `3 3/4"`, `6.5 mm` or `40 thou`.
 * @param defaultUnit the unit of a number that stands alone; null when it must have one
 * @param factorOf where to look up units
 * @returns mm, or what is wrong
 */
export function parseLength(
  text: string,
  defaultUnit: 'mm' | 'in' | null,
  factorOf: FactorOf = unitFactor,
): QuantityReading {
  return parseQuantity(text, factorOf, defaultUnit && unitFactor(defaultUnit));
}

/**
 * A length for people: `0.062 mm`, `-0.0025 in`; never `-0.000`.
 * @param signed writes a plus before what is above zero
 * @throws RangeError for NaN and infinities, which no length should have become
 */
export function formatLength(
  mm: number,
  unit: 'mm' | 'in',
  decimals: number,
  signed = false,
): string {
  return `${formatDecimal(mm / (unit === 'in' ? INCH : 1), decimals, signed)} ${unit}`;
}

/** As `formatLength`, without the unit. */
export function formatDecimal(value: number, decimals: number, signed = false): string {
  if (!Number.isFinite(value)) throw new RangeError(`${value} is not a number to be shown`);
  const digits = value.toFixed(decimals);
  if (Number(digits) === 0) return digits.replace('-', '');
  return signed && value > 0 ? `+${digits}` : digits;
}
