import { parseFraction } from './fraction.js';
import { plainText } from './plain-text.js';

/** What one of a named unit is in this program's own unit; null for a name that is none. */
export type FactorOf = (name: string) => number | null;

/** A quantity read from text, or what kept it from being one and the text in question. */
export type QuantityReading =
  | { readonly value: number }
  | { readonly fault: 'number' | 'unit' | 'unit-missing'; readonly text: string };

// All that can stand in a number up to its last digit, then the unit. A unit may begin with "1/", as in
// 4500 1/min.
const NUMBER_THEN_UNIT =
  /^([-+\u2212\d.,/\u2044\s¼½¾⅐-⅞]*?[\d¼½¾⅐-⅞])\s*((?:(?<=\s)1\s*\/\s*)?[^-+\u2212\d.,/\u2044\s¼½¾⅐-⅞].*)?$/s;

/**
 * Reads a number and its unit, such as `3 3/4 in` or `9 m/min`.
 * @param factorOf what one of the unit is in the result's unit
 * @param defaultFactor for a number without a unit; null when a unit must be given
 */
export function parseQuantity(
  text: string,
  factorOf: FactorOf,
  defaultFactor: number | null,
): QuantityReading {
  const parts = NUMBER_THEN_UNIT.exec(plainText(text));
  const number = parts && parseFraction(parts[1]!);
  if (!parts || !number) return { fault: 'number', text };
  const unit = parts[2] ?? '';
  const factor = unit === '' ? defaultFactor : factorOf(unit);
  if (factor === null) return { fault: unit === '' ? 'unit-missing' : 'unit', text: unit };
  return { value: withoutNoise((number.numerator * factor) / number.denominator) };
}

/** A converted number to fifteen digits: 3/8 in is 9.525 mm, where plain arithmetic has 9.524999999999999. */
export function withoutNoise(value: number): number {
  return Number(value.toPrecision(15));
}
