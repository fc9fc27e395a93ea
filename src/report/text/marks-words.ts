import { formatDecimal, formatLength } from '../../units/length.js';

const COUNTS = 'no one two three four five six seven eight nine ten eleven twelve'.split(' ');

/**
 * `two-knife`, as the trade names a finish by how many knives leave marks.
 *
 * @param short leaves the knife away: `one-` of `one- to two-knife`
 */
export function finishName(marks: number, short?: 'to'): string {
  return `${COUNTS[marks] ?? marks}-${short ? '' : 'knife'}`;
}

/** Marks in 10 mm from those in an inch. */
export function perTen(marksPerInch: number): string {
  return formatDecimal(marksPerInch / 2.54, 1);
}

/** A distance along the board to three digits: `0.500 mm`. */
export function roundPitch(mm: number, unit: 'mm' | 'in'): string {
  const value = unit === 'mm' ? mm : mm / 25.4;
  const digits = value === 0 ? 0 : Math.floor(Math.log10(Math.abs(value)));
  return formatLength(mm, unit, Math.min(4, Math.max(0, 2 - digits)));
}

/** One text, or the first and the last of several with ascending figures: `12.7 to 25.4`. */
export function range(texts: readonly string[]): string {
  const sorted = [...new Set(texts)].toSorted(
    (a, b) => Number.parseFloat(a) - Number.parseFloat(b),
  );
  return sorted.length === 1 ? sorted[0]! : `${sorted[0]} to ${sorted.at(-1)}`;
}

/** Ids where there is room for them, otherwise how many. */
export function idList(ids: readonly string[], of: number): string {
  if (ids.length === of && of > 2) return `all ${of}`;
  const list = ids.join(', ');
  return list.length <= 10 ? list : `${ids.length} of ${of}`;
}
