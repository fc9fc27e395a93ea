import type { Result } from '../record/result.js';

/** What one offset of a result adds to a weighted sum, and its own standard uncertainty. */
export interface Share {
  readonly weight: number;
  readonly u: number;
}

/**
 * Variance of a weighted sum of a result's offsets, mm²: from the covariance of all of them, or, in
 * a result that has none, as if they were independent.
 *
 * @param shares by the names that the covariance has for them, such as `1 front`
 */
export function varianceOf({ covariance }: Result, shares: ReadonlyMap<string, Share>): number {
  let variance = 0;
  for (const [a, { weight, u }] of shares) {
    for (const [b, other] of shares) {
      const i = covariance?.of.indexOf(a) ?? -1;
      const j = covariance?.of.indexOf(b) ?? -1;
      const known = covariance?.matrix[i]?.[j];
      variance += weight * other.weight * (known ?? (a === b ? u * u : 0));
    }
  }
  return Math.max(0, variance);
}
