import type { Machine } from '../machine/machine.js';
import { addKnife, type Combination, type Layout } from './layout.js';

/** Standard deviation of a knife's bow that is assumed before any board is measured, mm. */
export const BOW_SD = 0.02;

/**
 * How far an edge strays from a straight line and a bow, standard deviation, mm; common practice, no
 * source. It counts where marks at one place are to tell of the whole knife.
 */
export const FORM_SD = 0.0005;

/** Something known beforehand, as one more row: combination · parameters = value ± sd. */
export interface PriorRow {
  /** A straight knife, a locked bed, or what a truncation comes to (`bound`). */
  readonly kind: 'bow' | 'bed-lock' | 'bound';
  readonly combination: Combination;
  readonly value: number;
  readonly sd: number;
}

/** What is known of knives and bed before any board is measured. */
export function priorRows(machine: Machine, layout: Layout): PriorRow[] {
  const rows: PriorRow[] = [];
  if (layout.bows) {
    const middle = (layout.span.front + layout.span.back) / 2;
    layout.knives.forEach((_, knife) => {
      const combination = new Float64Array(layout.size);
      // The bow alone: the middle less the mean of both ends, where q is 1 and 0.
      addKnife(layout, combination, knife, middle, 1);
      addKnife(layout, combination, knife, layout.span.front, -0.5);
      addKnife(layout, combination, knife, layout.span.back, -0.5);
      rows.push({ kind: 'bow', combination, value: 0, sd: BOW_SD });
    });
  }
  const { repeatability } = machine.bed;
  if (repeatability !== null) {
    layout.boards.forEach((_, board) => {
      const combination = new Float64Array(layout.size);
      combination[layout.at.board + board] = 1;
      rows.push({ kind: 'bed-lock', combination, value: 0, sd: repeatability });
    });
  }
  return rows;
}
