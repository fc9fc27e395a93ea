import type { Entry } from '../sheet/entry.js';

/** So often a place is asked for before it is left blank. */
const ASKED = 2;

/**
 * The blank place to ask for after another: those not skipped yet, onwards and then from the start;
 * then those skipped once, which are come back to at the end.
 *
 * @param after index of the place just dealt with; −1 at the start
 * @returns null where nothing is left to ask for
 */
export function nextPlace(
  entries: readonly (Entry | null)[],
  skips: readonly number[],
  after: number,
): number | null {
  for (let times = 0; times < ASKED; times++) {
    const blank = entries.flatMap((entry, i) => (entry === null && skips[i] === times ? [i] : []));
    const next = blank.find((i) => i > after) ?? blank[0];
    if (next !== undefined) return next;
  }
  return null;
}
