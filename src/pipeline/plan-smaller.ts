import type { Machine } from '../machine/machine.js';
import { readingsOf } from '../plan/boards.js';
import { minutesOf } from '../plan/minutes.js';
import type { PlannedBoard, Smaller } from '../record/plan.js';
import { countedPlaces, foretell } from './foretell.js';
import { foretoldOf } from './plan-expected.js';
import { FEWEST_ROUNDS, FEWEST_STATIONS, freshBoards } from './plan-fresh.js';

/**
 * The smallest plan that can see faults, and what it would tell, for those who are in a hurry; null
 * where the plan at hand is no larger, or has nothing to be cut by hand.
 */
export function smallerPlan(machine: Machine, boards: readonly PlannedBoard[]): Smaller | null {
  const hand = boards.filter(({ cut }) => cut === 'hand');
  if (hand.length === 0) return null;
  const isUnderPower = boards.some(({ cut }) => cut === 'full');
  const smaller = freshBoards(machine, {
    stations: FEWEST_STATIONS,
    repeats: FEWEST_ROUNDS,
    cuts: isUnderPower ? ['full', 'hand'] : ['hand'],
    leader: null,
  });
  const minutes = Math.round(minutesOf(smaller));
  if (minutes >= Math.round(minutesOf(boards))) return null;
  const { standing } = foretell(machine, countedPlaces(smaller));
  const { knifeEndU } = foretoldOf(machine, standing);
  if (knifeEndU === null) return null;
  const readings = smaller.reduce((sum, board) => sum + readingsOf(board), 0);
  return { stations: FEWEST_STATIONS, repeats: FEWEST_ROUNDS, readings, minutes, knifeEndU };
}
