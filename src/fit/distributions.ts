import chiSquareCdfOf from '@stdlib/stats-base-dists-chisquare-cdf';
import normalCdfOf from '@stdlib/stats-base-dists-normal-cdf';
import normalQuantileOf from '@stdlib/stats-base-dists-normal-quantile';
import tCdfOf from '@stdlib/stats-base-dists-t-cdf';
import tQuantileOf from '@stdlib/stats-base-dists-t-quantile';

/** Standard normal quantile of probability p in (0, 1). */
export function normalQuantile(p: number): number {
  return normalQuantileOf(p, 0, 1);
}

/** Standard normal distribution function. */
export function normalCdf(z: number): number {
  return normalCdfOf(z, 0, 1);
}

/**
 * Student's t quantile of probability p for any positive degrees of freedom; infinitely many mean a
 * known standard deviation, and the normal quantile.
 */
export function tQuantile(p: number, degreesOfFreedom: number): number {
  return degreesOfFreedom === Infinity ? normalQuantile(p) : tQuantileOf(p, degreesOfFreedom);
}

/** Student's t distribution function; normal for infinitely many degrees of freedom. */
export function tCdf(t: number, degreesOfFreedom: number): number {
  return degreesOfFreedom === Infinity ? normalCdf(t) : tCdfOf(t, degreesOfFreedom);
}

/** χ² distribution function. */
export function chiSquareCdf(x: number, degreesOfFreedom: number): number {
  return chiSquareCdfOf(x, degreesOfFreedom);
}
