import { dot } from '../fit/decomposition.js';
import type { HeightSum } from '../model/instruments.js';
import type { HeightsBefore } from './mark-order.js';

/**
 * Heights once a sum of them has been measured too: the covariance's factor is updated itself, so
 * no variance is ever a difference of two (Potter's form of the update, in Bierman 1977).
 *
 * @param told a sum of heights at the same x, its value and its standard deviation, mm
 */
export function afterHeights(
  { heights, factors, degreesOfFreedom }: HeightsBefore,
  told: HeightSum & { readonly value: number; readonly sd: number },
): HeightsBefore {
  const along = new Float64Array(factors[0]!.length);
  let expected = 0;
  for (const { knife, weight } of told.terms) {
    expected += weight * heights[knife]!;
    for (let j = 0; j < along.length; j++) along[j]! += weight * factors[knife]![j]!;
  }
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
