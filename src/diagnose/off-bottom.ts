import type { Estimate } from '../fit/estimate.js';
import { residual } from '../fit/estimate.js';
import type { FitProblem } from '../fit/problem.js';
import type { TestCutModel } from '../model/test-cut.js';

/** Fewer readings than this have no shape. */
const ENOUGH = 20;
/** Skewness beyond this many times its own standard error comes by chance once in two hundred. */
const NO_CHANCE = 2.58;

/**
 * Whether readings of scoops scatter to the thick side only. A reading beside the bottom of its scoop
 * is too thick, never too thin, so readings taken once each leave a skew that normal noise does not.
 * Scoops read at several places have a bottom of their own and do not count.
 *
 * @returns the skewness and its standard error where it is more than chance; null else
 */
export function offBottomSkew(
  { readings, scoops }: TestCutModel,
  problem: FitProblem,
  { kept, parameters }: Estimate,
): { readonly skewness: number; readonly standardError: number } | null {
  const arced = new Set(scoops.flatMap((scoop) => scoop.readings));
  const offs = kept
    .filter((index) => readings[index]?.cut === 'hand' && !arced.has(index))
    .map((index) => residual(problem, parameters, index));
  const count = offs.length;
  if (count < ENOUGH) return null;
  const mean = offs.reduce((sum, off) => sum + off, 0) / count;
  const moment = (power: number) =>
    offs.reduce((sum, off) => sum + (off - mean) ** power, 0) / count;
  const skewness = moment(3) / moment(2) ** 1.5;
  // Of normal errors (Fisher 1930, in Cramér 1946, 29.3).
  const standardError = Math.sqrt(
    (6 * count * (count - 1)) / ((count - 2) * (count + 1) * (count + 3)),
  );
  return skewness > NO_CHANCE * standardError ? { skewness, standardError } : null;
}
