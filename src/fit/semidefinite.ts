/** A diagonal left below this share of the largest is rounding. */
const NOTHING = 1e-12;

/**
 * A factor F with F·Fᵀ equal to a covariance that may be singular: Cholesky's with the largest
 * diagonal first, ending where nothing is left (Higham 2002, 10.3).
 *
 * @param covariance symmetric, n × n
 * @returns n rows
 */
export function semidefiniteFactor(covariance: readonly (readonly number[])[]): Float64Array[] {
  const count = covariance.length;
  const left = covariance.map((row) => Float64Array.from(row));
  const factor = covariance.map(() => new Float64Array(count));
  const largest = Math.max(...covariance.map((row, i) => row[i]!));
  for (let column = 0; column < count; column++) {
    let pivot = 0;
    for (let i = 1; i < count; i++) if (left[i]![i]! > left[pivot]![pivot]!) pivot = i;
    const size = left[pivot]![pivot]!;
    if (!(size > NOTHING * largest)) break;
    const root = Math.sqrt(size);
    for (let i = 0; i < count; i++) factor[i]![column] = left[i]![pivot]! / root;
    for (let i = 0; i < count; i++) {
      for (let j = 0; j < count; j++) left[i]![j]! -= factor[i]![column]! * factor[j]![column]!;
    }
    // What rounding leaves of the pivot's own row must not come back.
    for (let i = 0; i < count; i++) left[pivot]![i] = left[i]![pivot] = 0;
  }
  return factor;
}
