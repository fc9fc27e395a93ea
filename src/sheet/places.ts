import type { Cut } from '../boards/reading.js';
import type { PlannedBoard } from '../record/plan.js';

/** One place to be measured once, in the order of measuring. Lengths in mm. */
export interface Place {
  readonly board: string;
  readonly cut: Cut;
  /** A knife's id, or `all`. */
  readonly knife: string;
  readonly x: number;
  readonly y: number;
  /** The locked bed height that it is cut at, where that has a name. */
  readonly setting?: string;
  /** What tells this reading from an earlier one of the same place, where it is taken again. */
  readonly repeat?: string;
}

/**
 * Every place of planned boards in the order in which it is measured: board by board, along each of
 * them. The knives' order is reversed every other round, so that what drifts while cutting does not
 * pass for a knife.
 */
export function placesOf(boards: readonly PlannedBoard[]): Place[] {
  return boards.flatMap(({ board, cut, knives, x, y, spacing, setting, repeat }) =>
    y.flatMap((first, round) => {
      const order = round % 2 === 0 ? knives : knives.toReversed();
      return order.flatMap((knife, place) =>
        x.map((at): Place => {
          const own = setting === undefined ? {} : { setting };
          const told = repeat === undefined ? {} : { repeat };
          return { board, cut, knife, x: at, y: first + place * (spacing ?? 0), ...own, ...told };
        }),
      );
    }),
  );
}
