import type { Machine } from '../machine/machine.js';
import type { Notice } from '../notices/notice.js';
import {
  boardFault,
  boardLengthFault,
  LONGEST_BOARD,
  readCut,
  THICKEST,
  thicknessFault,
  xFault,
  yFault,
} from './checks.js';
import { LONG_FORM } from './kinds.js';
import { knifeFault, knifeId } from './knife-ids.js';
import { type RowForm, type RowTaking, readRows } from './named-rows.js';
import { headerNotices, type NamedTable } from './named-table.js';
import type { Reading } from './reading.js';
import type { FileReadings } from './repeats.js';
import { faultNotice, readRun, type Taking, takeLength, takePosition } from './take.js';

const FORM: RowForm<Reading> = {
  kind: LONG_FORM,
  most: (name, machine) => {
    if (name === 'x') return machine.block.length;
    return name === 'thickness' || name === 'scale' ? THICKEST : LONGEST_BOARD;
  },
  read: readRow,
};

/**
 * Reads a table in long form.
 * @returns readings in mm, and every fault of the file; the readings count only if none is an error
 */
export function readLongForm(named: NamedTable, machine: Machine): FileReadings {
  const read = readRows(named, machine, FORM);
  return { ...read, notices: [...headerNotices(named, LONG_FORM), ...read.notices] };
}

function readRow(taking: RowTaking): Reading | null {
  const { under, factor, machine, file, line } = taking;
  const text = (name: string) => under(name)?.text || null;
  const who = readIds(taking);
  const length = takeLength(under('length'), factor('length'), taking, boardLengthFault);
  const x = takePosition('x', under('x')!, factor('x'), taking, (mm) => xFault(mm, machine));
  const y = takePosition('y', under('y')!, factor('y'), taking, (mm) => yFault(mm, length));
  const measured = under('thickness')!;
  const thickness = takeLength(measured, factor('thickness'), taking, thicknessFault);
  const run = readRun(under('run'), taking);
  const scale = readScale(taking);
  if (x === null || y === null || thickness === null) return null;
  return {
    file,
    line,
    ...who,
    setting: text('setting'),
    x,
    y,
    thickness,
    run,
    scoop: text('scoop'),
    length,
    repeat: text('repeat'),
    by: text('by'),
    scale,
    note: text('note'),
  };
}

function readIds({ under, machine, faults }: RowTaking): Pick<Reading, 'board' | 'knife' | 'cut'> {
  const [boardCell, knifeCell] = [under('board')!, under('knife')!];
  const board = boardFault(boardCell.text, boardCell.guarded);
  if (board) faults.push(faultNotice(boardCell, board));
  const knife = knifeId(knifeCell.text);
  const wrongKnife = knifeFault(knife, machine);
  if (wrongKnife) faults.push(faultNotice(knifeCell, wrongKnife));
  const cutCell = under('cut');
  const cut = readCut(cutCell?.text ?? '', knife);
  if (typeof cut === 'string') return { board: boardCell.text, knife, cut };
  if (!wrongKnife || cut.code === 'unknown-cut') faults.push(faultNotice(cutCell!, cut));
  return { board: boardCell.text, knife, cut: 'hand' };
}

/** The machine's pointer is only compared with: one that cannot be read is left out aloud. */
function readScale({ under, factor, decimal, faults }: RowTaking): number | null {
  const own: Taking = { decimal, faults: [] };
  const scale = takeLength(under('scale'), factor('scale'), own);
  faults.push(...own.faults.map((fault): Notice => ({ ...fault, severity: 'warning' })));
  return scale;
}
