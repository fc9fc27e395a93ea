/** Singular values, largest first, with their vectors: matrix = Σ value · left · rightᵀ. */
export interface SingularValues {
  readonly values: readonly number[];
  readonly left: readonly Float64Array[];
  readonly right: readonly Float64Array[];
}

/** Columns at right angles within this share of their lengths are taken to be so. */
const AT_RIGHT_ANGLES = 1e-15;
/** One-sided rotations settle within ten sweeps or so; more would be a fault of the numbers. */
const MOST_SWEEPS = 60;

/**
 * Singular values of a square matrix by one-sided Jacobi rotations (Hestenes 1958): columns are
 * turned in pairs until all stand at right angles. Small values come out to high relative accuracy,
 * which is what a decision about rank wants.
 *
 * @param matrix row by row, size × size
 */
export function singularValues(matrix: ArrayLike<number>, size: number): SingularValues {
  const columns = Array.from({ length: size }, (_, j) => {
    const column = new Float64Array(size);
    for (let i = 0; i < size; i++) column[i] = matrix[i * size + j]!;
    return column;
  });
  const turned = Array.from({ length: size }, (_, j) => {
    const unit = new Float64Array(size);
    unit[j] = 1;
    return unit;
  });
  for (let sweep = 0; sweep < MOST_SWEEPS; sweep++) {
    let settled = true;
    for (let p = 0; p < size - 1; p++) {
      for (let q = p + 1; q < size; q++) {
        if (turnPair(columns, turned, p, q)) settled = false;
      }
    }
    if (settled) break;
  }
  const lengths = columns.map((column) => Math.sqrt(product(column, column)));
  const order = lengths.map((_, j) => j).sort((a, b) => lengths[b]! - lengths[a]!);
  return {
    values: order.map((j) => lengths[j]!),
    left: order.map((j) => columns[j]!.map((value) => value / (lengths[j]! || 1))),
    right: order.map((j) => turned[j]!),
  };
}

/** Turns two columns to right angles; false where they stand so already. */
function turnPair(
  columns: readonly Float64Array[],
  turned: readonly Float64Array[],
  p: number,
  q: number,
): boolean {
  const [a, b] = [columns[p]!, columns[q]!];
  const along = product(a, b);
  const [aa, bb] = [product(a, a), product(b, b)];
  if (Math.abs(along) <= AT_RIGHT_ANGLES * Math.sqrt(aa * bb)) return false;
  const ratio = (bb - aa) / (2 * along);
  const tangent = (ratio < 0 ? -1 : 1) / (Math.abs(ratio) + Math.sqrt(1 + ratio * ratio));
  const cosine = 1 / Math.sqrt(1 + tangent * tangent);
  rotate(a, b, cosine, cosine * tangent);
  rotate(turned[p]!, turned[q]!, cosine, cosine * tangent);
  return true;
}

function rotate(a: Float64Array, b: Float64Array, cosine: number, sine: number): void {
  for (let i = 0; i < a.length; i++) {
    const x = a[i]!;
    const y = b[i]!;
    a[i] = cosine * x - sine * y;
    b[i] = sine * x + cosine * y;
  }
}

function product(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
}
