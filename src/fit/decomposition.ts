import { Matrix, SVD } from 'ml-matrix';
import {
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
  private readonly triangle: Triangle;
  /** Null where the rank is not in doubt. */
  private readonly singular: SingularVectors | null;

  /** @param triangle of the design's rows, of which there were `rows` */
  constructor(triangle: Triangle, rows: number) {
    const { columns } = triangle;
    this.columns = columns;
    this.triangle = triangle;
    const rounding = Math.max(rows, columns) * Number.EPSILON;
    // Columns have unit length, so no singular value is above √columns.
    const isClear = leastSingularValue(triangle) > FAR_FROM_ROUNDING * rounding;
    this.singular = isClear ? null : singularVectors(triangle, rounding);
    this.rank = this.singular?.rank ?? columns;
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
    if (!this.singular) return solveTriangle(this.triangle);
    const { left, values, directions, rank } = this.singular;
    const out = new Float64Array(this.columns);
    for (let k = 0; k < rank; k++) {
      let share = 0;
      for (let i = 0; i < this.columns; i++) share += left.get(i, k) * this.triangle.rhs[i]!;
      share /= values[k]!;
      for (let j = 0; j < this.columns; j++) out[j]! += directions[k]![j]! * share;
    }
    return out;
  }

  /** Whether the rows determine the combination g · parameters. */
  determines(g: ArrayLike<number>): boolean {
    if (!this.singular) return true;
    let total = 0;
    for (let j = 0; j < this.columns; j++) total += (g[j]! / this.triangle.scale[j]!) ** 2;
    if (total === 0) return true;
    // What lies along the null directions themselves, not a difference of two large squares.
    let open = 0;
    for (let k = this.rank; k < this.columns; k++) {
      open += dot(g, this.singular.directions[k]!) ** 2;
    }
    return Math.sqrt(open / total) < ROW_SPACE_TOLERANCE;
  }

  /**
   * One row of the covariance's factor: the covariance of g · parameters and h · parameters is the
   * scalar product of their factors, for rows whitened to unit variance.
   */
  factor(g: ArrayLike<number>): Float64Array {
    if (!this.singular) return solveTransposed(this.triangle, g);
    const { values, directions, rank } = this.singular;
    const out = new Float64Array(rank);
    for (let k = 0; k < rank; k++) out[k] = dot(g, directions[k]!) / values[k]!;
    return out;
  }
}

interface SingularVectors {
  readonly rank: number;
  /** Singular values of the scaled design, largest first. */
  readonly values: readonly number[];
  /** Right singular vectors, one an entry, in units of the unscaled parameters. */
  readonly directions: readonly Float64Array[];
  readonly left: Matrix;
}

function singularVectors({ columns, scale, upper }: Triangle, rounding: number): SingularVectors {
  const svd = new SVD(Matrix.from1DArray(columns, columns, upper));
  const values = svd.diagonal;
  const right = svd.rightSingularVectors.to1DArray();
  const directions = values.map((_, k) => {
    const direction = new Float64Array(columns);
    for (let j = 0; j < columns; j++) direction[j] = right[j * columns + k]! / scale[j]!;
    return direction;
  });
  const threshold = (values[0] ?? 0) * rounding;
  const rank = values.filter((value) => value > threshold && value > 0).length;
  return { rank, values, directions, left: svd.leftSingularVectors };
}

/** Scalar product. */
export function dot(a: ArrayLike<number>, b: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
}
