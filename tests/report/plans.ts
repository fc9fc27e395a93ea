import type { Machine } from '../../src/machine/machine.js';
import type { PlannedBoard } from '../../src/plan/planned-board.js';
import type { Plan } from '../../src/record/plan.js';
import { benchMachine } from '../machines.js';

/** A plan for some boards, with nothing foretold. */
export function planFor(boards: readonly PlannedBoard[], machine: Machine = benchMachine()): Plan {
  return {
    schema: 'proofboard/plan@1',
    machine: { name: machine.name, knives: machine.block.knives },
    boards,
    readings: boards.reduce(
      (sum, { knives, x, y }) => sum + knives.length * x.length * y.length,
      0,
    ),
    minutes: 60,
    expected: { knifeEndU: null, bedTiltU: null, taperU: null, clearVerdict: null },
    undetermined: [],
    smaller: null,
    instead: [],
    notices: [],
  };
}

/** A strip cut by hand at one place across. */
export function strip(board: string, x: number, rounds = 4): PlannedBoard {
  const y = Array.from({ length: rounds }, (_, i) => 40 + 120 * i);
  const knives = ['1', '2', '3', '4'];
  return { board, cut: 'hand', knives, x: [x], y, spacing: 30, width: 30, length: 600 };
}

/** A board cut by hand over all of the block, far too large for one table. */
export function wideBoard(board = 'W1'): PlannedBoard {
  const x = [40, 90, 150, 205, 260, 315, 370, 425, 480];
  return { ...strip(board, 40, 9), x, width: null };
}

export function planed(board: string, x: readonly number[]): PlannedBoard {
  const y = [150, 250, 350];
  return { board, cut: 'full', knives: ['all'], x, y, spacing: null, width: null, length: null };
}
