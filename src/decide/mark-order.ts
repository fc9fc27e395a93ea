import { dot } from '../fit/decomposition.js';
import { chiSquareCdf, tCdf } from '../fit/distributions.js';
import type { RepeatingPattern } from '../fit/pattern.js';
import { factorTriangle, solveTransposed } from '../fit/triangle.js';
import type { Machine } from '../machine/machine.js';
import {
  aboveLine,
  heightsOfMarks,
  hiddenMarks,
  type MarkHeights,
  type MarkOrder,
} from '../model/marks.js';
import { type HeightsBefore, sumOf } from './told-heights.js';

/** How well an order of marks goes with what is known of the heights. */
export interface OrderAgreement {
  /** Logarithm of its likelihood, but for a constant common to all orders. */
  readonly log: number;
  /** How likely chance alone makes marks and earlier heights differ as much, if it is the right one. */
  readonly pValue: number;
}

/**
 * How well one order of marks agrees with what is known of the knives' heights: it gives heights of
 * its own, which agree more or less with the earlier ones, and hides the other knives, which stand
 * more or less surely low enough. Where an order begins is as likely for one knife as for another.
 *
 * @param sd standard deviation of one ridge's position, mm
 */
export function orderAgreement(
  machine: Machine,
  pattern: RepeatingPattern,
  sd: number,
  order: MarkOrder,
  before: HeightsBefore,
): OrderAgreement {
  const marks = heightsOfMarks(machine, pattern.phases, pattern.period, order);
  const { off, log, squares, freedom, told } = contrastsAgree(marks, pattern, sd, order, before);
  const ν = before.degreesOfFreedom;
  let logHidden = 0;
  for (const hidden of hiddenMarks(marks.feed, order)) {
    const q = sumOf(before, aboveLine(hidden));
    // Given what the marks say of the others.
    const shared = told(q.factor);
    const mean = q.value - dot(shared, off);
    const left = Math.sqrt(Math.max(1e-18, dot(q.factor, q.factor) - dot(shared, shared)));
    logHidden += Math.log(Math.max(1e-300, tCdf((-hidden.depth - mean) / left, ν)));
  }
  // Ridges are what was read: the density of heights times how far they move with the ridges.
  const stretch = marks.gaps.reduce((sum, gap) => sum + Math.log(gap), 0);
  const pValue = freedom === 0 ? 1 : 1 - chiSquareCdf(squares, freedom);
  return { log: log + logHidden + stretch, pValue };
}

/** Whitened differences between the marks' heights and the earlier ones, each against the first. */
function contrastsAgree(
  marks: MarkHeights,
  pattern: RepeatingPattern,
  sd: number,
  order: MarkOrder,
  before: HeightsBefore,
) {
  const count = order.length - 1;
  const [first] = order;
  const rows: Float64Array[] = [];
  const differences: number[] = [];
  const ours: Float64Array[] = [];
  for (let i = 1; i <= count; i++) {
    const earlier = sumOf(before, [
      { knife: order[i]!, weight: 1 },
      { knife: first!, weight: -1 },
    ]);
    const ridge = contrastFactor(marks, pattern, i).map((value) => value * sd);
    rows.push(Float64Array.from([...earlier.factor, ...ridge]));
    ours.push(earlier.factor);
    differences.push(earlier.value - (marks.heights[i]! - marks.heights[0]!));
  }
  const triangle = factorTriangle(rows);
  const off = solveTransposed(triangle, differences);
  const squares = dot(off, off);
  const logSize = differences.reduce(
    (sum, _, i) => sum + Math.log(Math.abs(triangle.upper[i * (count + 1)]!)),
    0,
  );
  const ν = before.degreesOfFreedom;
  const log =
    ν === Infinity
      ? -squares / 2 - logSize
      : -((ν + count) / 2) * Math.log1p(squares / ν) - logSize;
  // What the marks tell of another sum of heights, in whitened differences.
  const told = (factor: Float64Array) =>
    solveTransposed(
      triangle,
      ours.map((row) => dot(row, factor)),
    );
  return { off, log, squares, freedom: count, told };
}

/** The row of the covariance's factor, for unit noise, of one mark's height less that of the first. */
export function contrastFactor(
  { jacobian }: MarkHeights,
  { phaseFactors, periodFactor }: RepeatingPattern,
  mark: number,
): Float64Array {
  const slopes = jacobian[mark]!.map((value, j) => value - jacobian[0]![j]!);
  const out = new Float64Array(periodFactor.length);
  [...phaseFactors, periodFactor].forEach((factor, j) => {
    for (let k = 0; k < out.length; k++) out[k]! += slopes[j]! * factor[k]!;
  });
  return out;
}
