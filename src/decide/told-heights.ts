import { dot } from '../fit/decomposition.js';
import type { HeightSum } from '../model/instruments.js';

/** What is known of all knives' heights at one x before the marks there are looked at. */
export interface HeightsBefore {
  readonly heights: readonly number[];
  /** Rows of the covariance's factor, one a knife. */
  readonly factors: readonly Float64Array[];
  readonly degreesOfFreedom: number;
}

/** A weighted sum of heights that are known: its value, and the row of its covariance's factor. */
export function sumOf(
  { heights, factors }: HeightsBefore,
  terms: HeightSum['terms'],
): { readonly value: number; readonly factor: Float64Array } {
  const factor = new Float64Array(factors[0]!.length);
  let value = 0;
  for (const { knife, weight } of terms) {
    value += weight * heights[knife]!;
    for (let j = 0; j < factor.length; j++) factor[j]! += weight * factors[knife]![j]!;
  }
  return { value, factor };
}

/**
 * Heights once a sum of them has been measured too: the covariance's factor is updated itself, so
 * no variance is ever a difference of two (Potter's form of the update, in Bierman 1977).
 *
 * @param told a sum of heights at the same x, its value and its standard deviation, mm
 */
export function afterHeights(
  before: HeightsBefore,
  told: HeightSum & { readonly value: number; readonly sd: number },
): HeightsBefore {
  const { heights, factors, degreesOfFreedom } = before;
  const { value: expected, factor: along } = sumOf(before, told.terms);
  const spread = dot(along, along) + told.sd ** 2;
  const share = 1 / (1 + told.sd / Math.sqrt(spread));
  const gains = factors.map((factor) => dot(factor, along) / spread);
  return {
    heights: heights.map((height, k) => height + gains[k]! * (told.value - expected)),
    factors: factors.map((factor, k) =>
      factor.map((value, j) => value - share * gains[k]! * along[j]!),
    ),
    degreesOfFreedom,
  };
}
