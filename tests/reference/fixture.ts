import { readFileSync } from 'node:fs';

/** A fixture of published figures, by its file name in fixtures/reference. */
export function fixture<T>(name: string): T {
  const file = new URL(`../../fixtures/reference/${name}`, import.meta.url);
  return JSON.parse(readFileSync(file, 'utf8')) as T;
}

/**
 * How many leading decimal digits agree, as reference problems are commonly scored: minus the
 * logarithm of the relative error, or of the error itself where the certified value is 0.
 */
export function matchingDigits(found: number, certified: number): number {
  const error = Math.abs(found - certified) / (certified === 0 ? 1 : Math.abs(certified));
  if (Number.isNaN(error)) return -Infinity;
  return error === 0 ? 16 : -Math.log10(error);
}

/** The worst agreement of a list with its certified values. */
export function worstDigits(found: ArrayLike<number>, certified: readonly number[]): number {
  if (found.length !== certified.length) return -Infinity;
  return Math.min(...certified.map((value, i) => matchingDigits(found[i]!, value)));
}

/** Half a unit of the last decimal printed, the most by which a rounded figure may differ. */
export function halfUnit(decimals: number): number {
  return 0.5 * 10 ** -decimals + 1e-12;
}
