import type { Machine } from '../machine/machine.js';
import type { Contribution, PlannedBoard } from '../record/plan.js';
import { type AssumedHeights, type CountedPlace, foretell } from './foretell.js';
import { foretoldOf } from './plan-expected.js';

/**
 * What each place would be missed for: the same plan without one knife's readings there. On a strip
 * that all knives cut equally often, one of them stands for all.
 *
 * @param places those of the boards
 * @param before places measured already, which stay
 */
export function contributions(
  machine: Machine,
  boards: readonly PlannedBoard[],
  places: readonly CountedPlace[],
  before: readonly CountedPlace[],
  heights: AssumedHeights | null,
): Contribution[] {
  return boards.flatMap(({ board, knives, x, y }) =>
    x.map((at): Contribution => {
      const isIt = ({ reading }: CountedPlace) =>
        reading.board === board && reading.knife === knives[0] && reading.x === at;
      const rest = [...before, ...places.filter((place) => !isIt(place))];
      const { standing } = foretell(machine, rest, undefined, heights);
      return { board, knives, x: at, readings: y.length, without: foretoldOf(machine, standing) };
    }),
  );
}
