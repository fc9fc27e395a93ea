import type { Machine } from '../machine/machine.js';
import type { Notice } from '../notices/notice.js';
import { xFault } from './checks.js';
import type { InputFile } from './decode.js';
import { carryFault, farthestCarry } from './instrument-checks.js';
import type { CarryReading } from './instrument-reading.js';
import { CARRY } from './kinds.js';
import { carryingFault, knifeId } from './knife-ids.js';
import type { RowForm, RowTaking } from './named-rows.js';
import { readInstrument } from './read-instrument.js';
import { takeId, takeLength, takePosition } from './take.js';

const FORM: RowForm<CarryReading> = {
  kind: CARRY,
  most: (name, machine) => (name === 'x' ? machine.block.length : farthestCarry(machine)),
  read: readRow,
};

/**
 * Reads how far edges carried a rule from CSV files, in whatever dialect each is written.
 * @param files each a name for notices and the bytes as they were read
 * @param machine gives knife ids, the block's length and diameter, and the unit of plain numbers
 * @returns carries in mm, or none where any notice is an error
 */
export function readCarry(
  files: readonly InputFile[],
  machine: Machine,
): { readonly readings: readonly CarryReading[]; readonly notices: readonly Notice[] } {
  return readInstrument(files, machine, FORM);
}

function readRow(taking: RowTaking): CarryReading | null {
  const { under, factor, machine, file, line } = taking;
  const knife = takeId(under('knife')!, taking, (id) => carryingFault(id, machine), knifeId);
  const x = takePosition('x', under('x')!, factor('x'), taking, (mm) => xFault(mm, machine));
  const carry = takeLength(under('carry'), factor('carry'), taking, (mm) =>
    carryFault(mm, machine),
  );
  if (knife === null || x === null || carry === null) return null;
  return { file, line, knife, x, carry };
}
