import { dot } from '../fit/decomposition.js';
import { chiSquareCdf, tCdf } from '../fit/distributions.js';
import type { RepeatingPattern } from '../fit/pattern.js';
import { triangleOf } from '../fit/triangle.js';
import type { Machine } from '../machine/machine.js';
import { heightsOfMarks, hiddenMarks, type MarkHeights, type MarkOrder } from '../model/marks.js';

/** What is known of all knives' heights at one x before the marks there are looked at. */
export interface HeightsBefore {
  readonly heights: readonly number[];
  /** Rows of the covariance's factor, one a knife. */
  readonly factors: readonly Float64Array[];
  readonly degreesOfFreedom: number;
}

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
  const { off, log, squares, freedom, factors } = contrastsAgree(marks, pattern, sd, order, before);
  const ν = before.degreesOfFreedom;
  let logHidden = 0;
  for (const hidden of hiddenMarks(marks.feed, order)) {
    const { knife, after, share, depth } = hidden;
    const q = combine(before, [
      [knife, 1],
      [hidden.before, share - 1],
      [after, -share],
    ]);
    // Given what the marks say of the others.
    const told = forward(factors, q.factor);
    const mean = q.value - dot(told, off);
    const left = Math.sqrt(Math.max(1e-18, dot(q.factor, q.factor) - dot(told, told)));
    logHidden += Math.log(Math.max(1e-300, tCdf((-depth - mean) / left, ν)));
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
    const earlier = combine(before, [
      [order[i]!, 1],
      [first!, -1],
    ]);
    const ridge = contrastFactor(marks, pattern, i).map((value) => value * sd);
    rows.push(Float64Array.from([...earlier.factor, ...ridge]));
    ours.push(earlier.factor);
    differences.push(earlier.value - (marks.heights[i]! - marks.heights[0]!));
  }
  const lower = lowerTriangle(rows);
  const off = forwardSolve(lower, differences);
  const squares = dot(off, off);
  const logSize = lower.reduce((sum, row, i) => sum + Math.log(Math.abs(row[i]!)), 0);
  const ν = before.degreesOfFreedom;
  const log =
    ν === Infinity
      ? -squares / 2 - logSize
      : -((ν + count) / 2) * Math.log1p(squares / ν) - logSize;
  // The earlier factors in whitened rows, for what the marks say of the hidden knives.
  const factors = whitened(lower, ours);
  return { off, log, squares, freedom: count, factors };
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

function combine(
  { heights, factors }: HeightsBefore,
  terms: readonly (readonly [number, number])[],
): { readonly value: number; readonly factor: Float64Array } {
  const factor = new Float64Array(factors[0]!.length);
  let value = 0;
  for (const [knife, weight] of terms) {
    value += weight * heights[knife]!;
    for (let k = 0; k < factor.length; k++) factor[k]! += weight * factors[knife]![k]!;
  }
  return { value, factor };
}

/** L of rows·rowsᵀ = L·Lᵀ, by triangularising the rows themselves. */
export function lowerTriangle(rows: readonly Float64Array[]): Float64Array[] {
  const count = rows.length;
  const columns = rows[0]?.length ?? 0;
  const transposed = Array.from({ length: columns }, (_, j) => rows.map((row) => row[j]!));
  const scale = new Float64Array(count).fill(1);
  const { upper } = triangleOf(transposed, new Float64Array(columns), count, { scale });
  return rows.map((_, i) => Float64Array.from({ length: i + 1 }, (__, j) => upper[j * count + i]!));
}

function forwardSolve(lower: readonly Float64Array[], values: readonly number[]): Float64Array {
  const out = new Float64Array(values.length);
  for (let i = 0; i < values.length; i++) {
    let value = values[i]!;
    for (let j = 0; j < i; j++) value -= lower[i]![j]! * out[j]!;
    out[i] = value / lower[i]![i]!;
  }
  return out;
}

function whitened(
  lower: readonly Float64Array[],
  rows: readonly Float64Array[],
): readonly Float64Array[] {
  const columns = rows[0]?.length ?? 0;
  const solved = Array.from({ length: columns }, (_, j) =>
    forwardSolve(
      lower,
      rows.map((row) => row[j]!),
    ),
  );
  return rows.map((_, i) => Float64Array.from(solved, (column) => column[i]!));
}

/** The scalar product of each row with a vector. */
function forward(rows: readonly Float64Array[], vector: Float64Array): Float64Array {
  return Float64Array.from(rows, (row) => dot(row, vector));
}
