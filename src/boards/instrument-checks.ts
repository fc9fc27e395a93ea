import type { Machine } from '../machine/machine.js';
import type { CellFault } from './cell.js';
import { dateHint, SLACK, shown } from './checks.js';

/** No dial indicator that reads hundredths goes further; mm, either way. */
export const FARTHEST_GAUGED = 50;

/** A dial indicator reads a little in or out of its zero. */
export function gaugeFault(mm: number): CellFault | null {
  if (Math.abs(mm) <= FARTHEST_GAUGED + SLACK) return null;
  return {
    code: 'no-gauge-reading',
    message: `${shown(mm)} mm is further than a dial indicator goes`,
    expected: `-${FARTHEST_GAUGED} to ${FARTHEST_GAUGED} mm`,
    hint:
      dateHint(mm) ??
      "write the unit into the header, such as reading (mm), reading (µm) or reading (thou); turn a dial's divisions into lengths",
  };
}

/** The farthest that an edge carries a rule: one that stood half the cutting circle above its table. */
export function farthestCarry(machine: Machine): number {
  return machine.block.cuttingDiameter / 2;
}

/** An edge carries a rule forwards, some millimetres far. */
export function carryFault(mm: number, machine: Machine): CellFault | null {
  const most = farthestCarry(machine);
  if (mm >= 0 && mm <= most + SLACK) return null;
  return {
    code: 'no-carry',
    message: `no edge carries a rule ${shown(mm)} mm far`,
    expected: `0 to ${shown(most)} mm, half the cutting diameter`,
    hint: carryHint(mm, most),
  };
}

function carryHint(mm: number, most: number): string {
  if (mm < 0) {
    return 'write 0 where the edge did not move the rule, and leave the cell empty where nothing was measured';
  }
  const unit = 'check the unit, which may stand in the header: carry (mm) or carry (in)';
  if (mm / 25.4 > most) return dateHint(mm) ?? unit;
  return `${unit}; a carry is how far the rule moved, not what it reads at a mark: take one reading of the rule from the other`;
}
