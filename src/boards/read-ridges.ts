import type { Machine } from '../machine/machine.js';
import type { Notice } from '../notices/notice.js';
import { unitFactor } from '../units/length.js';
import { saysNotMeasured, splitUnit, unitOf } from './cell.js';
import { boardFault, LONGEST_BOARD, xFault, yFault } from './checks.js';
import type { InputFile } from './decode.js';
import type { Ridge } from './instrument-reading.js';
import { MARKS } from './kinds.js';
import { knifeId, markingFault } from './knife-ids.js';
import type { RowForm, RowTaking } from './named-rows.js';
import { cellUnder, type NamedTable } from './named-table.js';
import { readInstrument } from './read-instrument.js';
import type { Row } from './table.js';
import { faultNotice, takeId, takePosition } from './take.js';

const FORM: RowForm<Ridge> = {
  kind: MARKS,
  most: (name, machine) => (name === 'x' ? machine.block.length : LONGEST_BOARD),
  read: readRow,
  together: unitNotices,
};

/**
 * Reads ridges between knife marks from CSV files, in whatever dialect each is written.
 * @param files each a name for notices and the bytes as they were read
 * @param machine gives knife ids, the block's length, and the unit of plain numbers
 * @returns ridges with positions in mm, or none where any notice is an error
 */
export function readRidges(
  files: readonly InputFile[],
  machine: Machine,
): { readonly ridges: readonly Ridge[]; readonly notices: readonly Notice[] } {
  const { readings, notices } = readInstrument(files, machine, FORM);
  return { ridges: readings, notices };
}

function readRow(taking: RowTaking): Ridge | null {
  const { under, factor, machine, file, line } = taking;
  const boardCell = under('board')!;
  const board = takeId(boardCell, taking, (id) => boardFault(id, boardCell.guarded));
  const x = takePosition('x', under('x')!, factor('x'), taking, (mm) => xFault(mm, machine));
  const y = takePosition('y', under('y')!, factor('y'), taking, (mm) => yFault(mm, null));
  const knife = takeKnife(taking);
  if (board === null || x === null || y === null) return null;
  return { file, line, board, x, y, knife };
}

/** The knife of a mark; null where nobody knows it. A machine's knife may be called X. */
function takeKnife(taking: RowTaking): string | null {
  const { under, machine } = taking;
  const cell = under('knife');
  if (!cell || cell.text === '') return null;
  if (saysNotMeasured(cell.text) && !machine.block.knives.includes(cell.text)) return null;
  return takeId(cell, taking, (id) => markingFault(id, machine), knifeId);
}

/** With two positions a row, whose unit a column of units means is a guess. */
function unitNotices(named: NamedTable, rows: readonly Row[], machine: Machine): Notice[] {
  if (named.columns.some(({ name, factor }) => name === 'x' && factor !== null)) return [];
  return rows.flatMap((row) => {
    const [cell, x] = [cellUnder(named, row, 'unit'), cellUnder(named, row, 'x')!];
    const unit = cell && unitOf(cell.text);
    if (!cell || unit === null || unit === unitFactor(machine.unit)) return [];
    if (splitUnit(x.text).unit !== null) return [];
    return [
      faultNotice(cell, {
        code: 'unit-of-which',
        message: 'this may be the unit of x and y or that of y alone',
        expected: 'units in the headers, such as x (mm), y (in)',
        hint: 'write the units into the headers and leave this column away',
      }),
    ];
  });
}
