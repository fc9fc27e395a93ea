import type { Cut } from '../boards/reading.js';

/** A board to be cut and measured. Lengths in mm. */
export interface PlannedBoard {
  readonly board: string;
  readonly cut: Cut;
  /** In the order in which they cut in the first round; `["all"]` for a full board. */
  readonly knives: readonly string[];
  readonly x: readonly number[];
  /** Where the first knife of each round cuts; the others beside it, the order reversed each round. */
  readonly y: readonly number[];
  /** From one scoop of a round to the next along the board; null on a board cut under power. */
  readonly spacing: number | null;
  /** How wide a strip may be, and how long it is; null on a board cut under power. */
  readonly width: number | null;
  readonly length: number | null;
  /**
   * What stands in the column `setting` of its readings: only on boards to be analysed together with
   * those of an earlier result, since the bed may have been moved in between.
   */
  readonly setting?: string;
  /** Cut already, for an earlier result: these places of it are to be measured again. */
  readonly again?: true;
  /** What stands in the column `repeat` of its readings, where they are taken again. */
  readonly repeat?: string;
}
