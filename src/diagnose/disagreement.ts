import type { Reading } from '../boards/reading.js';

/** More misreads on a board than this share of its readings, and more than one, is no accident. */
const MOST_MISREADS = 1 / 5;
/** Scatter beyond this many times what the instrument is good for is not the instrument's. */
const MOST_SCATTER = 4;

/** Why the boards and their description cannot both be right. */
export type Disagreement =
  | {
      readonly kind: 'misreads';
      readonly board: string;
      readonly misreads: number;
      readonly readings: number;
    }
  | { readonly kind: 'scatter'; readonly scatter: number; readonly expected: number };

/**
 * Whether boards and description disagree: more than a fifth of a board's readings are misreads, or
 * readings of one knife at one place scatter as no instrument does. Knives labelled at random,
 * boards mixed up and a wrong machine file look like this.
 *
 * @param misreads indices of readings set aside as misreads
 * @param residualSd mm; null when nothing is left to scatter
 * @param readingSd what the instrument's figures let expect of one reading, mm
 */
export function disagreementOf(
  readings: readonly Reading[],
  misreads: readonly number[],
  residualSd: number | null,
  readingSd: number,
): Disagreement | null {
  const total = countBy(readings.map(({ board }) => board));
  const wrong = countBy(misreads.map((index) => readings[index]!.board));
  for (const [board, count] of wrong) {
    const all = total.get(board)!;
    if (count > 1 && count > MOST_MISREADS * all) {
      return { kind: 'misreads', board, misreads: count, readings: all };
    }
  }
  if (residualSd !== null && residualSd > MOST_SCATTER * readingSd) {
    return { kind: 'scatter', scatter: residualSd, expected: readingSd };
  }
  return null;
}

function countBy(keys: readonly string[]): Map<string, number> {
  const counts = new Map<string, number>();
  for (const key of keys) counts.set(key, (counts.get(key) ?? 0) + 1);
  return counts;
}
