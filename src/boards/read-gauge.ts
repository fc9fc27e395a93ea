import type { Machine } from '../machine/machine.js';
import type { Notice } from '../notices/notice.js';
import { idOverLines, namesNothing, xFault } from './checks.js';
import type { InputFile } from './decode.js';
import { FARTHEST_GAUGED, gaugeFault } from './instrument-checks.js';
import type { GaugeReading } from './instrument-reading.js';
import { GAUGE } from './kinds.js';
import { gaugedFault, knifeId } from './knife-ids.js';
import type { RowForm, RowTaking } from './named-rows.js';
import { cellUnder, type NamedTable } from './named-table.js';
import { readInstrument } from './read-instrument.js';
import type { Cell, Row } from './table.js';
import { faultNotice, takeId, takeLength, takePosition } from './take.js';

const FORM: RowForm<GaugeReading> = {
  kind: GAUGE,
  most: (name, machine) => (name === 'x' ? machine.block.length : FARTHEST_GAUGED),
  read: readRow,
  together: (named, rows) => [...zeroNotices(named, rows), ...divisionNotices(named, rows)],
};

/**
 * Reads what a dial indicator said of knives and of the block's body from CSV files, in whatever
 * dialect each is written.
 * @param files each a name for notices and the bytes as they were read
 * @param machine gives knife ids, the block's length, and the unit of plain numbers
 * @returns readings in mm, or none where any notice is an error
 */
export function readGauge(
  files: readonly InputFile[],
  machine: Machine,
): { readonly readings: readonly GaugeReading[]; readonly notices: readonly Notice[] } {
  return readInstrument(files, machine, FORM);
}

function readRow(taking: RowTaking): GaugeReading | null {
  const { under, factor, machine, file, line } = taking;
  const knife = takeId(under('knife')!, taking, (id) => gaugedFault(id, machine), knifeId);
  const x = takePosition('x', under('x')!, factor('x'), taking, (mm) => xFault(mm, machine));
  const reading = takeLength(under('reading'), factor('reading'), taking, gaugeFault);
  const zeroCell = under('zero');
  const zero = isNamed(zeroCell) ? takeId(zeroCell, taking, idOverLines) : null;
  if (knife === null || x === null || reading === null) return null;
  return { file, line, knife, x, reading, zero };
}

function isNamed(cell: Cell | null): cell is Cell {
  return cell !== null && cell.text !== '' && (cell.guarded || !namesNothing(cell.text));
}

/** Rows that name no zero share one; beside rows that do, it was more likely forgotten or merged away. */
function zeroNotices(named: NamedTable, rows: readonly Row[]): Notice[] {
  const zeroOf = (row: Row) => cellUnder(named, row, 'zero');
  const without = rows.filter((row) => !isNamed(zeroOf(row)));
  if (without.length === rows.length) return [];
  return without.map((row) =>
    faultNotice(zeroOf(row) ?? row.cells.at(-1)!, {
      code: 'zero-missing',
      message: 'this row does not say to which zero it was read, others do',
      expected: 'the name of a zero in every row, or in none',
      hint: 'write the same name in all rows between which the dial was not set anew; merged cells leave all but one empty',
    }),
  );
}

/** Whole millimetres between edges are what a dial's divisions look like; knives stand hundredths apart. */
function divisionNotices(named: NamedTable, rows: readonly Row[]): Notice[] {
  const header = named.columns.find(({ name }) => name === 'reading');
  const cells = rows.flatMap((row) => cellUnder(named, row, 'reading') ?? []);
  const unitSaid = rows.some((row) => (cellUnder(named, row, 'unit')?.text ?? '') !== '');
  const whole = cells.every(({ text }) => /^[+\-\u2212]?\d+$/.test(text));
  const differ = new Set(cells.map(({ text }) => text)).size > 1;
  if (!header || header.factor !== null || unitSaid || !whole || !differ) return [];
  return [
    faultNotice(header.header, {
      code: 'divisions-for-lengths',
      message: 'every reading is a whole number: divisions of the dial, not lengths',
      expected: 'readings as lengths, such as 0.03',
      hint: 'write the unit into the header, such as reading (µm), reading (thou) or reading (mm); for a dial in hundredths divide by 100',
    }),
  ];
}
