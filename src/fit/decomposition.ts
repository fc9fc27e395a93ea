import { Matrix, QrDecomposition, SVD } from 'ml-matrix';
import { columnNorms } from './levenberg.js';

/** A combination of parameters counts as determined when less than this share of it is left open. */
const ROW_SPACE_TOLERANCE = 1e-8;

/**
 * A design matrix, taken apart once and asked many things: least-squares solutions, which
 * combinations of parameters the rows determine, and their uncertainty. Columns are scaled to unit
 * length, so neither rank nor accuracy depends on the units of the parameters. The normal equations
 * are never formed.
 */
export class Decomposition {
  readonly rank: number;
  readonly columns: number;
  private readonly scale: Float64Array;
  private readonly qr: QrDecomposition;
  /** Singular values of the scaled design, largest first. */
  private readonly values: readonly number[];
  /** Right singular vectors, one an entry, in units of the unscaled parameters. */
  private readonly directions: readonly Float64Array[];
  private readonly leftVectors: Matrix;

  /** @param design rows × columns; rows may be fewer than columns. */
  constructor(design: readonly ArrayLike<number>[], columns: number) {
    this.columns = columns;
    const scale = columnNorms(design, columns);
    this.scale = scale;
    // Rows of zeros change neither solution nor rank, and a Householder QR wants a tall matrix.
    const rows = Math.max(design.length, columns);
    const scaled = Matrix.zeros(rows, columns);
    design.forEach((row, i) => {
      for (let j = 0; j < columns; j++) scaled.set(i, j, row[j]! / scale[j]!);
    });
    this.qr = new QrDecomposition(scaled);
    const svd = new SVD(this.qr.upperTriangularMatrix);
    this.values = svd.diagonal;
    this.leftVectors = svd.leftSingularVectors;
    this.directions = svd.rightSingularVectors
      .transpose()
      .to2DArray()
      .map((vector) => Float64Array.from(vector, (value, j) => value / scale[j]!));
    const threshold = (this.values[0] ?? 0) * rows * Number.EPSILON;
    this.rank = this.values.filter((value) => value > threshold && value > 0).length;
  }

  /**
   * The least-squares solution. With a missing rank it is that of least length in the scaled
   * parameters: only combinations for which `determines` is true mean anything then.
   */
  solve(rhs: readonly number[]): Float64Array {
    const padded = Matrix.zeros(Math.max(rhs.length, this.columns), 1);
    rhs.forEach((value, i) => {
      padded.set(i, 0, value);
    });
    if (this.rank === this.columns) {
      const solution = this.qr.solve(padded);
      return Float64Array.from(this.scale, (scale, j) => solution.get(j, 0) / scale);
    }
    const rotated = this.leftVectors
      .transpose()
      .mmul(this.qr.orthogonalMatrix.transpose().mmul(padded));
    const out = new Float64Array(this.columns);
    for (let k = 0; k < this.rank; k++) {
      const share = rotated.get(k, 0) / this.values[k]!;
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
