import type { Result } from '../record/result.js';

/** One of a result's offsets, by the name that its covariance has for it, such as `1 front`. */
export interface NamedOffset {
  readonly name: string;
  /** Its own standard uncertainty, mm. */
  readonly u: number;
}

/** What one offset of a result adds to a weighted sum, and its own standard uncertainty. */
export interface Share {
  readonly weight: number;
  readonly u: number;
}

/**
 * Covariance of two of a result's offsets, mm²: as the result has it, or, where it has none, as if
 * they were independent.
 */
export function covarianceOf({ covariance }: Result, a: NamedOffset, b: NamedOffset): number {
  const [i, j] = [a, b].map(({ name }) => covariance?.of.indexOf(name) ?? -1);
  return covariance?.matrix[i!]?.[j!] ?? (a.name === b.name ? a.u * a.u : 0);
}

/**
 * Variance of a weighted sum of a result's offsets, mm².
 *
 * @param shares by the names that the covariance has for them
 */
export function varianceOf(result: Result, shares: ReadonlyMap<string, Share>): number {
  let variance = 0;
  for (const [a, { weight, u }] of shares) {
    for (const [b, other] of shares) {
      const covariance = covarianceOf(result, { name: a, u }, { name: b, u: other.u });
      variance += weight * other.weight * covariance;
    }
  }
  return Math.max(0, variance);
}
