import type { Machine } from '../machine/machine.js';
import type { Notice } from '../notices/notice.js';
import { spokenIn } from '../units/spoken.js';
import type { SettledSequence } from './settle-marks.js';

/**
 * What to do about rows of ridges of which nothing tells whose the marks are.
 *
 * @param heights what heights were known from, in words; null where none were
 */
export function whoseMarks(
  machine: Machine,
  settled: readonly SettledSequence[],
  heights: string | null,
): Notice[] {
  return settled.flatMap(({ sequence, order, isContradicted }): Notice[] => {
    if (order || isContradicted) return [];
    const { ridges, board, pattern, x } = sequence;
    const { file, line } = ridges[0]!;
    const why = heights
      ? `the heights known from ${heights} do not settle it with 99 % probability`
      : 'no label says so, and no heights are known';
    const label =
      pattern.slots === machine.block.knives.length
        ? 'label one ridge with the knife whose mark begins there'
        : 'label the marks of one revolution with the knives that cut them';
    return [
      {
        code: 'whose-marks',
        severity: 'warning',
        message: `which knife cut which mark of board ${board} at x ${spokenIn(machine.unit).place(x)} is not known: ${why}`,
        file,
        line,
        hint: `${label}: chalk one knife and see which mark it leaves`,
      },
    ];
  });
}
