import type { HeightsBefore } from '../decide/mark-order.js';
import { semidefiniteFactor } from '../fit/semidefinite.js';
import type { Machine } from '../machine/machine.js';
import { bowShape, spanOf, xi } from '../model/coordinates.js';
import { BOW_SD } from '../model/priors.js';
import type { Result } from '../record/result.js';
import { knivesAt } from './result-heights.js';

/**
 * The knives' heights at an x as a result tells them; null where it does not tell one of them. A
 * result without middles had too few stations for bows: they are then what they are beforehand.
 */
export function heightsOfResult(machine: Machine, result: Result, x: number): HeightsBefore | null {
  const { heights, certainty } = knivesAt(machine, result, x);
  const known = heights.filter((height) => height !== null);
  if (known.length < heights.length || !certainty) return null;
  const count = heights.length;
  const unit = (i: number, j: number) =>
    Array.from({ length: count }, (_, k) => (k === i ? 1 : 0) + (k === j ? 1 : 0));
  const bow = BOW_SD * bowShape(xi(spanOf(machine), x));
  const isBowless = result.knives.every(({ middle }) => (middle?.value ?? null) === null);
  const covariance = known.map((_, i) =>
    known.map((__, j) => {
      const own = isBowless && i === j ? bow ** 2 : 0;
      // cov(a, b) = (var(a + b) − var(a − b))/4, both of which the result has.
      const sum = certainty.u(unit(i, j)) ** 2;
      const difference = certainty.u(unit(i, -1).map((value, k) => value - (k === j ? 1 : 0))) ** 2;
      return own + (sum - difference) / 4;
    }),
  );
  return {
    heights: known,
    factors: semidefiniteFactor(covariance),
    degreesOfFreedom: result.fit?.readingSdFreedom ?? Infinity,
  };
}
