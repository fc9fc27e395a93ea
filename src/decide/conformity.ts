import { tCdf } from '../fit/distributions.js';

export type Verdict = 'inside' | 'outside' | 'undecided';

/** Probability of conformity from which, and up to which, a verdict is given. */
const SURELY_INSIDE = 0.95;
const SURELY_OUTSIDE = 0.05;

/**
 * Probability that a quantity lies within its tolerance, from an estimate, its standard uncertainty
 * and their degrees of freedom (JCGM 106:2012, 7). Either limit may be infinite.
 */
export function probabilityInside(
  estimate: number,
  lower: number,
  upper: number,
  u: number,
  degreesOfFreedom: number,
): number {
  if (u === 0) return estimate >= lower && estimate <= upper ? 1 : 0;
  const below = lower === -Infinity ? 0 : tCdf((lower - estimate) / u, degreesOfFreedom);
  const above = upper === Infinity ? 0 : tCdf((estimate - upper) / u, degreesOfFreedom);
  return Math.min(1, Math.max(0, 1 - below - above));
}

/** The verdict on a tolerance: inside from 95 %, outside up to 5 %, undecided between. */
export function verdict(probability: number): Verdict {
  if (probability >= SURELY_INSIDE) return 'inside';
  return probability <= SURELY_OUTSIDE ? 'outside' : 'undecided';
}
