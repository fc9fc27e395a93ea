import { normalQuantile } from '../fit/distributions.js';
import { lowerTriangle } from '../fit/triangle.js';

/** Points of the sequence: joint probabilities are good to about three parts in a thousand. */
const POINTS = 2048;

/**
 * Correlated errors of several quantities, drawn once: points × quantities, flat. Their covariance is
 * singular where quantities add up to zero, so it is drawn from its factor, never inverted.
 */
export interface Draws {
  readonly points: number;
  readonly quantities: number;
  readonly values: Float64Array;
}

/**
 * Draws errors with the covariance F·Fᵀ and Student's t tails.
 *
 * @param factors one row of F a quantity
 * @param degreesOfFreedom of the estimate; Infinity draws normal errors
 */
export function drawErrors(
  factors: readonly Float64Array[],
  degreesOfFreedom: number,
  points = POINTS,
): Draws {
  const quantities = factors.length;
  const values = new Float64Array(points * quantities);
  // As few columns as there are quantities: F = L·Qᵀ, and Q does not matter.
  const isWide = (factors[0]?.length ?? 0) > quantities;
  const lower = isWide ? lowerTriangle(factors) : factors;
  const size = lower.at(-1)?.length ?? 0;
  const normals = normalPoints(points, size + 1);
  for (let p = 0; p < points; p++) {
    const base = p * (size + 1);
    const stretch = tStretch(normals[base + size]!, degreesOfFreedom);
    for (let q = 0; q < quantities; q++) {
      const row = lower[q]!;
      let sum = 0;
      for (let j = 0; j < row.length; j++) sum += row[j]! * normals[base + j]!;
      values[p * quantities + q] = sum * stretch;
    }
  }
  return { points, quantities, values };
}

/**
 * Probability that every quantity lies within ± its limit of zero.
 *
 * @param estimates one a quantity
 * @param limits one a quantity; Infinity for one that does not count
 */
export function jointProbability(
  draws: Draws,
  estimates: ArrayLike<number>,
  limits: ArrayLike<number>,
): number {
  const { points, quantities, values } = draws;
  let inside = 0;
  for (let p = 0; p < points; p++) {
    const base = p * quantities;
    let q = 0;
    while (q < quantities && Math.abs(estimates[q]! + values[base + q]!) <= limits[q]!) q++;
    if (q === quantities) inside++;
  }
  return inside / points;
}

/**
 * Independent standard normal numbers at the points of a Kronecker sequence (fractional parts of
 * multiples of square roots of primes): evenly spread, the same at every run.
 */
export function normalPoints(points: number, size: number): Float64Array {
  const steps = primes(size).map((prime) => Math.sqrt(prime) % 1);
  const out = new Float64Array(points * size);
  for (let p = 0; p < points; p++) {
    for (let j = 0; j < size; j++) {
      out[p * size + j] = normalAt((0.5 + (p + 1) * steps[j]!) % 1);
    }
  }
  return out;
}

/** Normal quantiles by straight lines in a table: drawing errors does not need more digits. */
const TABLE_SIZE = 2048;
let table: Float64Array | null = null;
function normalAt(p: number): number {
  table ??= normalTable();
  const place = Math.min(TABLE_SIZE - 1.000001, Math.max(0, p * TABLE_SIZE - 0.5));
  const left = Math.floor(place);
  return table[left]! + (place - left) * (table[left + 1]! - table[left]!);
}

function normalTable(): Float64Array {
  const out = new Float64Array(TABLE_SIZE);
  for (let i = 0; i < TABLE_SIZE / 2; i++) {
    out[i] = normalQuantile((i + 0.5) / TABLE_SIZE);
    out[TABLE_SIZE - 1 - i] = -out[i]!;
  }
  return out;
}

/** √(ν/χ²): the common factor that makes normal errors Student's; χ² by Wilson and Hilferty (1931). */
function tStretch(z: number, degreesOfFreedom: number): number {
  if (degreesOfFreedom === Infinity) return 1;
  const spread = 2 / (9 * degreesOfFreedom);
  const cubeRoot = 1 - spread + z * Math.sqrt(spread);
  return 1 / Math.sqrt(Math.max(cubeRoot, 0.05) ** 3);
}

function primes(count: number): number[] {
  const found: number[] = [];
  for (let n = 2; found.length < count; n++)
    if (found.every((prime) => n % prime !== 0)) found.push(n);
  return found;
}
