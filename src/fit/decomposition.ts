import { singularValues } from './singular-values.js';
import {
  compressedRows,
  leastSingularValue,
  solveTransposed,
  solveTriangle,
  type Triangle,
  triangleOf,
} from './triangle.js';

/** A combination of parameters counts as determined when less than this share of it is left open. */
const ROW_SPACE_TOLERANCE = 1e-8;
/** So many times above rounding, a least singular value leaves no doubt about the rank. */
const FAR_FROM_ROUNDING = 1e4;

/**
 * A design matrix, taken apart once and asked many things: its rank, which combinations of
 * parameters its rows determine, and their uncertainty. Columns are scaled to unit length, so
 * neither rank nor accuracy depends on the units of the parameters. The normal equations are never
 * formed. Where the triangle is far from losing its rank it answers by itself; else the singular
 * values do.
 */
export class Decomposition {
  readonly rank: number;
  readonly columns: number;
  /** Columns that are not all zeros: the parameters that some row speaks of. */
  private readonly spoken: readonly number[];
  /** Of the spoken columns alone. */
  private readonly triangle: Triangle;
  /** Null where the rank of the spoken columns is not in doubt. */
  private readonly singular: SingularVectors | null;

  /** @param triangle of the design's rows, of which there were `rows` */
  constructor(triangle: Triangle, rows: number) {
    const { columns } = triangle;
    this.columns = columns;
    this.spoken = spokenColumns(triangle);
    this.triangle = withColumns(triangle, this.spoken);
    const rounding = Math.max(rows, columns) * Number.EPSILON;
    // Columns have unit length, so no singular value is above √columns.
    const isClear = leastSingularValue(this.triangle) > FAR_FROM_ROUNDING * rounding;
    this.singular = isClear ? null : singularVectors(this.triangle, rounding);
    this.rank = this.singular?.rank ?? this.spoken.length;
  }

  /** Takes a design apart: rows × columns; rows may be fewer than columns. */
  static of(design: readonly ArrayLike<number>[], columns: number): Decomposition {
    const none = new Float64Array(design.length);
    return new Decomposition(triangleOf(design, none, columns), design.length);
  }

  /**
   * The least-squares solution. With a missing rank it is that of least length in the scaled
   * parameters: only combinations for which `determines` is true mean anything then.
   */
  solution(): Float64Array {
    const spoken = this.singular
      ? shortestSolution(this.singular, this.triangle)
      : solveTriangle(this.triangle);
    const out = new Float64Array(this.columns);
    this.spoken.forEach((column, j) => {
      out[column] = spoken[j]!;
    });
    return out;
  }

  /** Whether the rows determine the combination g · parameters. */
  determines(g: ArrayLike<number>): boolean {
    const ours = this.ours(g);
    const entries = (values: ArrayLike<number>) =>
      Array.from(values).filter((value) => value !== 0).length;
    // A parameter that no row speaks of is not determined.
    if (entries(g) > entries(ours)) return false;
    if (!this.singular) return true;
    let size = 0;
    for (let j = 0; j < ours.length; j++) size += (ours[j]! / this.triangle.scale[j]!) ** 2;
    // What lies along the null directions themselves, not a difference of two large squares.
    let open = 0;
    for (const direction of this.singular.directions.slice(this.rank)) {
      open += dot(ours, direction) ** 2;
    }
    return Math.sqrt(open) <= ROW_SPACE_TOLERANCE * Math.sqrt(size);
  }

  /**
   * One row of the covariance's factor: the covariance of g · parameters and h · parameters is the
   * scalar product of their factors, for rows whitened to unit variance.
   */
  factor(g: ArrayLike<number>): Float64Array {
    const ours = this.ours(g);
    if (!this.singular) return solveTransposed(this.triangle, ours);
    const { values, directions, rank } = this.singular;
    const out = new Float64Array(rank);
    for (let k = 0; k < rank; k++) out[k] = dot(ours, directions[k]!) / values[k]!;
    return out;
  }

  private ours(g: ArrayLike<number>): Float64Array {
    const out = new Float64Array(this.spoken.length);
    for (let j = 0; j < out.length; j++) out[j] = g[this.spoken[j]!]!;
    return out;
  }
}

function spokenColumns({ columns, upper }: Triangle): number[] {
  const spoken: number[] = [];
  for (let j = 0; j < columns; j++) {
    let size = 0;
    for (let i = 0; i <= j; i++) size += Math.abs(upper[i * columns + j]!);
    if (size > 0) spoken.push(j);
  }
  return spoken;
}

/** The triangle of the same rows without some columns. */
function withColumns(triangle: Triangle, kept: readonly number[]): Triangle {
  if (kept.length === triangle.columns) return triangle;
  const rows = compressedRows(triangle).map((row) => kept.map((column) => row[column]!));
  return triangleOf(rows, triangle.rhs, kept.length);
}

function shortestSolution(
  { left, values, directions, rank }: SingularVectors,
  { columns, rhs }: Triangle,
): Float64Array {
  const out = new Float64Array(columns);
  for (let k = 0; k < rank; k++) {
    const share = dot(left[k]!, rhs) / values[k]!;
    for (let j = 0; j < columns; j++) out[j]! += directions[k]![j]! * share;
  }
  return out;
}

interface SingularVectors {
  readonly rank: number;
  /** Singular values of the scaled design, largest first. */
  readonly values: readonly number[];
  /** Right singular vectors, one an entry, in units of the unscaled parameters. */
  readonly directions: readonly Float64Array[];
  readonly left: readonly Float64Array[];
}

function singularVectors({ columns, scale, upper }: Triangle, rounding: number): SingularVectors {
  const { values, left, right } = singularValues(upper, columns);
  const directions = right.map((vector) => vector.map((value, j) => value / scale[j]!));
  const threshold = (values[0] ?? 0) * rounding;
  const rank = values.filter((value) => value > threshold && value > 0).length;
  return { rank, values, directions, left };
}

/** Scalar product. */
export function dot(a: ArrayLike<number>, b: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
}
