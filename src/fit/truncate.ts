import { dot } from './decomposition.js';
import { normalCdf } from './distributions.js';

/** A quantity that cannot be above a limit, as far as a fit that did not know so goes. */
export interface Truncation {
  readonly value: number;
  /** Row of the covariance's factor. */
  readonly factor: Float64Array;
  readonly atMost: number;
}

/** A row of its own that does to the fit what a truncation does: quantity = value ± sd. */
export interface TruncationRow {
  readonly value: number;
  readonly sd: number;
}

const ROUNDS = 50;
const SETTLED = 1e-9;
/** A row that takes less than this share off the quantity's variance changes nothing. */
const NO_EFFECT = 1e-6;

/**
 * Normal errors cut off at limits, by expectation propagation (Minka 2001): for each truncation the
 * row whose normal distribution leaves the mean and the variance that cutting off leaves, given all
 * the others. A limit that is far away leaves no row, and no limit is ever taken for a measurement:
 * the row's value lies below it and its standard deviation is no less than what was known before.
 *
 * @returns one row a truncation; null where it changes nothing
 */
export function truncationRows(truncations: readonly Truncation[]): (TruncationRow | null)[] {
  const mean = truncations.map(({ value }) => value);
  const covariance = truncations.map((a) => truncations.map((b) => dot(a.factor, b.factor)));
  const before = truncations.map((_, i) => covariance[i]![i]!);
  const precision = truncations.map(() => 0);
  const weighted = truncations.map(() => 0);
  for (let round = 0; round < ROUNDS; round++) {
    let moved = 0;
    truncations.forEach(({ atMost }, i) => {
      const site = siteOf(mean[i]!, covariance[i]![i]!, precision[i]!, weighted[i]!, atMost);
      const change = site.precision - precision[i]!;
      update(mean, covariance, i, change, site.weighted - weighted[i]!);
      precision[i] = site.precision;
      weighted[i] = site.weighted;
      moved = Math.max(moved, Math.abs(change) * before[i]!);
    });
    if (moved < SETTLED) break;
  }
  return truncations.map((_, i) => {
    if (precision[i]! * before[i]! < NO_EFFECT) return null;
    return { value: weighted[i]! / precision[i]!, sd: 1 / Math.sqrt(precision[i]!) };
  });
}

/** The row of one truncation, in natural parameters, given what is known without it. */
function siteOf(
  mean: number,
  variance: number,
  precision: number,
  weighted: number,
  atMost: number,
): { readonly precision: number; readonly weighted: number } {
  const open = 1 / (1 / variance - precision);
  const centre = open * (mean / variance - weighted);
  const spread = Math.sqrt(open);
  const reach = (atMost - centre) / spread;
  const density = Math.exp(-(reach ** 2) / 2) / Math.sqrt(2 * Math.PI);
  const pull = density / normalCdf(reach);
  const shrink = pull * (pull + reach);
  // Far beyond the limit the normal distribution underflows: nothing is left to cut off.
  if (!(shrink > 0) || !(shrink < 1)) return { precision, weighted };
  const left = open * (1 - shrink);
  const cut = centre - spread * pull;
  return { precision: 1 / left - 1 / open, weighted: cut / left - centre / open };
}

/** Mean and covariance after a change of one quantity's natural parameters: a change of rank one. */
function update(
  mean: number[],
  covariance: number[][],
  i: number,
  precision: number,
  weighted: number,
): void {
  const column = covariance.map((row) => row[i]!);
  const own = column[i]!;
  const gain = (weighted - precision * mean[i]!) / (1 + precision * own);
  const share = precision / (1 + precision * own);
  for (let a = 0; a < mean.length; a++) {
    mean[a]! += column[a]! * gain;
    for (let b = 0; b < mean.length; b++) covariance[a]![b]! -= share * column[a]! * column[b]!;
  }
}
