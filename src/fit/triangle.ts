/**
 * The upper triangle R that a Householder QR (Golub and Van Loan, 5.2) leaves of rows [A | b], with
 * the columns of A scaled to unit length, and the first part of Qᵀb beside it: all that least
 * squares needs of the rows. Flat arrays, since this is what a fit spends its time on.
 */
export interface Triangle {
  readonly columns: number;
  /** Length of each column of A before scaling; 1 for a column of zeros. */
  readonly scale: Float64Array;
  /** R, row by row, columns × columns. */
  readonly upper: Float64Array;
  /** Qᵀb, one value a column. */
  readonly rhs: Float64Array;
}

/**
 * Triangularises rows.
 *
 * @param rows rows of A; may be fewer than its columns
 * @param rhs b, one value a row
 * @param options.scale lengths to scale the columns by; their own when not given
 * @param options.weights what each row and its right-hand side are multiplied by; 1 when not given
 */
export function triangleOf(
  rows: readonly ArrayLike<number>[],
  rhs: ArrayLike<number>,
  columns: number,
  options: { readonly scale?: Float64Array; readonly weights?: ArrayLike<number> } = {},
): Triangle {
  const { weights } = options;
  const scale = options.scale ?? columnNorms(rows, columns, weights);
  // Rows of zeros change nothing, and reflections want at least as many rows as columns.
  const height = Math.max(rows.length, columns);
  const work = new Float64Array(height * (columns + 1));
  for (let i = 0; i < rows.length; i++) {
    const row = rows[i]!;
    const weight = weights ? weights[i]! : 1;
    for (let j = 0; j < columns; j++) work[j * height + i] = (weight * row[j]!) / scale[j]!;
    work[columns * height + i] = weight * rhs[i]!;
  }
  reflect(work, height, columns);
  return { columns, scale, ...pick(work, height, columns) };
}

/** The triangle with √damping times the identity below it, triangularised again. */
export function damped(triangle: Triangle, damping: number): Triangle {
  const { columns, upper, rhs, scale } = triangle;
  const height = 2 * columns;
  const work = new Float64Array(height * (columns + 1));
  const root = Math.sqrt(damping);
  for (let j = 0; j < columns; j++) {
    for (let i = 0; i <= j; i++) work[j * height + i] = upper[i * columns + j]!;
    work[j * height + columns + j] = root;
    work[columns * height + j] = rhs[j]!;
  }
  reflect(work, height, columns);
  return { columns, scale, ...pick(work, height, columns) };
}

/** Whether no column is, to rounding, a combination of those before it. */
export function hasFullRank({ columns, upper }: Triangle): boolean {
  for (let j = 0; j < columns; j++) {
    // Columns have unit length, so the diagonal tells how much of each is new.
    if (Math.abs(upper[j * columns + j]!) < 1e-13) return false;
  }
  return true;
}

/** The unscaled solution of R · x = Qᵀb; its triangle must have full rank. */
export function solveTriangle({ columns, upper, rhs, scale }: Triangle): Float64Array {
  const out = new Float64Array(columns);
  for (let i = columns - 1; i >= 0; i--) {
    let sum = rhs[i]!;
    for (let j = i + 1; j < columns; j++) sum -= upper[i * columns + j]! * out[j]!;
    out[i] = sum / upper[i * columns + i]!;
  }
  for (let j = 0; j < columns; j++) out[j]! /= scale[j]!;
  return out;
}

/** R⁻ᵀ · (g / scale): scalar products of such vectors are covariances. R must have full rank. */
export function solveTransposed(
  { columns, scale, upper }: Triangle,
  g: ArrayLike<number>,
): Float64Array {
  const out = new Float64Array(columns);
  for (let j = 0; j < columns; j++) {
    let value = g[j]! / scale[j]!;
    for (let i = 0; i < j; i++) value -= upper[i * columns + j]! * out[i]!;
    out[j] = value / upper[j * columns + j]!;
  }
  return out;
}

/**
 * The triangle R with RᵀR = rows·rowsᵀ: of a covariance that is given by its factor's rows, without
 * that product being formed.
 */
export function factorTriangle(rows: readonly Float64Array[]): Triangle {
  const columns = rows[0]?.length ?? 0;
  const transposed = Array.from({ length: columns }, (_, j) => rows.map((row) => row[j]!));
  const scale = new Float64Array(rows.length).fill(1);
  return triangleOf(transposed, new Float64Array(columns), rows.length, { scale });
}

/** L of rows·rowsᵀ = L·Lᵀ, each row as long as it has entries. */
export function lowerTriangle(rows: readonly Float64Array[]): Float64Array[] {
  const { columns, upper } = factorTriangle(rows);
  return rows.map((_, i) =>
    Float64Array.from({ length: i + 1 }, (__, j) => upper[j * columns + i]!),
  );
}

/** A lower bound of R's least singular value: one over the Frobenius norm of its inverse. */
export function leastSingularValue({ columns, upper }: Triangle): number {
  let square = 0;
  const column = new Float64Array(columns);
  for (let k = 0; k < columns; k++) {
    for (let i = k; i >= 0; i--) {
      let value = i === k ? 1 : 0;
      for (let j = i + 1; j <= k; j++) value -= upper[i * columns + j]! * column[j]!;
      const pivot = upper[i * columns + i]!;
      if (pivot === 0) return 0;
      column[i] = value / pivot;
      square += column[i]! ** 2;
    }
  }
  return square === 0 ? Infinity : 1 / Math.sqrt(square);
}

/** So little damping leaves determined directions as they are, and gives the others none of a row. */
const JUST_SOLVABLE = 1e-18;

/** The leverage of a row among those that made the triangle: |R⁻ᵀ · row|². */
export function leverages(triangle: Triangle): (row: ArrayLike<number>) => number {
  const solvable = hasFullRank(triangle) ? triangle : damped(triangle, JUST_SOLVABLE);
  return (row) => {
    let sum = 0;
    for (const value of solveTransposed(solvable, row)) sum += value * value;
    return sum;
  };
}

/**
 * The triangle as rows of its own: |rows · p − rhs|² differs from that of the rows that made it by
 * a constant, so it stands for them wherever only differences matter.
 */
export function compressedRows({ columns, upper, scale }: Triangle): Float64Array[] {
  return Array.from({ length: columns }, (_, i) => {
    const row = new Float64Array(columns);
    for (let j = i; j < columns; j++) row[j] = upper[i * columns + j]! * scale[j]!;
    return row;
  });
}

/** Length of each column of weighted rows; 1 for a column of zeros. */
export function columnNorms(
  rows: readonly ArrayLike<number>[],
  columns: number,
  weights?: ArrayLike<number>,
): Float64Array {
  const norms = new Float64Array(columns);
  for (let i = 0; i < rows.length; i++) {
    const row = rows[i]!;
    const square = weights ? weights[i]! ** 2 : 1;
    for (let j = 0; j < columns; j++) norms[j]! += square * row[j]! ** 2;
  }
  for (let j = 0; j < columns; j++) norms[j] = Math.sqrt(norms[j]!) || 1;
  return norms;
}

/** Householder reflections in place; columns lie one after another, the right-hand side last. */
function reflect(work: Float64Array, height: number, columns: number): void {
  for (let k = 0; k < columns; k++) {
    const from = k * height;
    let square = 0;
    for (let i = k; i < height; i++) square += work[from + i]! ** 2;
    if (square === 0) continue;
    const norm = work[from + k]! > 0 ? -Math.sqrt(square) : Math.sqrt(square);
    const head = work[from + k]! - norm;
    const factor = 1 / (norm * head);
    work[from + k] = head;
    for (let j = k + 1; j <= columns; j++) {
      const other = j * height;
      let along = 0;
      for (let i = k; i < height; i++) along += work[from + i]! * work[other + i]!;
      along *= factor;
      for (let i = k; i < height; i++) work[other + i]! += along * work[from + i]!;
    }
    work[from + k] = norm;
  }
}

function pick(work: Float64Array, height: number, columns: number) {
  const upper = new Float64Array(columns * columns);
  for (let j = 0; j < columns; j++) {
    for (let i = 0; i <= j; i++) upper[i * columns + j] = work[j * height + i]!;
  }
  return { upper, rhs: work.slice(columns * height, columns * height + columns) };
}
