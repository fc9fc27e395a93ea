import { Matrix, SVD } from 'ml-matrix';
import { type Triangle, triangleOf } from './triangle.js';

/** A combination of parameters counts as determined when less than this share of it is left open. */
const ROW_SPACE_TOLERANCE = 1e-8;

/**
 * A design matrix, taken apart once and asked many things: its rank, which combinations of
 * parameters its rows determine, and their uncertainty. Columns are scaled to unit length, so
 * neither rank nor accuracy depends on the units of the parameters. The normal equations are never
 * formed.
 */
export class Decomposition {
  readonly rank: number;
  readonly columns: number;
  private readonly scale: Float64Array;
  /** Singular values of the scaled design, largest first. */
  private readonly values: readonly number[];
  /** Right singular vectors, one an entry, in units of the unscaled parameters. */
  private readonly directions: readonly Float64Array[];
  private readonly leftVectors: Matrix;

  /** @param triangle of the design's rows, of which there were `rows` */
  constructor(triangle: Triangle, rows: number) {
    const { columns, scale, upper } = triangle;
    this.columns = columns;
    this.scale = scale;
    const svd = new SVD(Matrix.from1DArray(columns, columns, upper));
    this.values = svd.diagonal;
    this.leftVectors = svd.leftSingularVectors;
    const right = svd.rightSingularVectors;
    this.directions = this.values.map((_, k) => scale.map((length, j) => right.get(j, k) / length));
    const threshold = (this.values[0] ?? 0) * Math.max(rows, columns) * Number.EPSILON;
    this.rank = this.values.filter((value) => value > threshold && value > 0).length;
  }

  /** Takes a design apart: rows × columns; rows may be fewer than columns. */
  static of(design: readonly ArrayLike<number>[], columns: number): Decomposition {
    const none = new Float64Array(design.length);
    return new Decomposition(triangleOf(design, none, columns), design.length);
  }

  /**
   * With a missing rank, the least-squares solution of least length in the scaled parameters: only
   * combinations for which `determines` is true mean anything then.
   *
   * @param rotated Qᵀb of the triangle this was made of
   */
  shortestSolution(rotated: ArrayLike<number>): Float64Array {
    const out = new Float64Array(this.columns);
    for (let k = 0; k < this.rank; k++) {
      let share = 0;
      for (let i = 0; i < this.columns; i++) share += this.leftVectors.get(i, k) * rotated[i]!;
      share /= this.values[k]!;
      for (let j = 0; j < this.columns; j++) out[j]! += this.directions[k]![j]! * share;
    }
    return out;
  }

  /** Whether the rows determine the combination g · parameters. */
  determines(g: ArrayLike<number>): boolean {
    let total = 0;
    for (let j = 0; j < this.columns; j++) total += (g[j]! / this.scale[j]!) ** 2;
    if (total === 0) return true;
    // What lies along the null directions themselves, not a difference of two large squares.
    let open = 0;
    for (let k = this.rank; k < this.columns; k++) open += dot(g, this.directions[k]!) ** 2;
    return Math.sqrt(open / total) < ROW_SPACE_TOLERANCE;
  }

  /**
   * One row of the covariance's factor: the covariance of g · parameters and h · parameters is the
   * scalar product of their factors, for rows whitened to unit variance.
   */
  factor(g: ArrayLike<number>): Float64Array {
    const out = new Float64Array(this.rank);
    for (let k = 0; k < this.rank; k++) out[k] = dot(g, this.directions[k]!) / this.values[k]!;
    return out;
  }
}

/** Scalar product. */
export function dot(a: ArrayLike<number>, b: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
}
