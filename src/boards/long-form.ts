import type { Machine } from '../machine/machine.js';
import type { Notice } from '../notices/notice.js';
import { unitFactor } from '../units/length.js';
import { saysNotMeasured, unitFault, unitOf } from './cell.js';
import {
  boardFault,
  boardLengthFault,
  knifeFault,
  knifeId,
  LONGEST_BOARD,
  readCut,
  THICKEST,
  thicknessFault,
  xFault,
  yFault,
} from './checks.js';
import type { ColumnNames } from './columns.js';
import { decideDecimal, type NumberSample, sampleOf } from './dialect.js';
import { indexNotices } from './indexes.js';
import { fileKeys } from './keys.js';
import { cellUnder, headerNotices, type NamedTable } from './named-table.js';
import type { Reading } from './reading.js';
import type { FileReadings } from './repeats.js';
import { shapeNotice } from './row-shape.js';
import { splitDecimalNotices } from './split-decimals.js';
import type { Cell, Row } from './table.js';
import {
  faultNotice,
  notMeasuredNotice,
  readRun,
  type Taking,
  takeLength,
  takePosition,
} from './take.js';
import { unusedNotice } from './unused.js';

/** One reading a row. */
export const LONG_FORM: ColumnNames = {
  required: ['board', 'knife', 'x', 'y', 'thickness'],
  optional: ['cut', 'setting', 'run', 'scoop', 'length', 'repeat', 'by', 'scale', 'unit', 'note'],
  lengths: ['x', 'y', 'thickness', 'length', 'scale'],
  remarks: ['by', 'note'],
};

interface Reader extends Taking {
  readonly named: NamedTable;
  readonly machine: Machine;
}

/**
 * Reads a table in long form.
 * @returns readings in mm, and every fault of the file; the readings count only if none is an error
 */
export function readLongForm(named: NamedTable, machine: Machine): FileReadings {
  const shapes = named.rows.map((row) => ({
    row,
    notice: shapeNotice(row, named, LONG_FORM, 'thickness') ?? notMeasured(row, named),
  }));
  const rows = shapes.flatMap(({ row, notice }) => (notice === null ? [row] : []));
  const samples = rows.flatMap((row) => samplesOf(row, named, machine));
  const decimal = decideDecimal(samples, named.table.separator);
  const reader: Reader = { named, machine, decimal: decimal.decimal, faults: [] };
  const isBlank = (row: Row) => cellUnder(named, row, 'thickness')?.text === '';
  const measured = rows.filter((row) => !isBlank(row));
  const unmeasured = [
    ...rows.filter(isBlank),
    ...shapes.flatMap(({ row, notice }) => (notice?.code === 'not-measured' ? [row] : [])),
  ];
  const readings = measured.flatMap((row) => readRow(row, reader) ?? []);
  return {
    readings,
    keys: readings.map((reading) => ({
      key: JSON.stringify({ ...reading, file: '', line: 0 }),
      file: reading.file,
      line: reading.line,
    })),
    notices: [
      ...headerNotices(named, LONG_FORM),
      ...shapes.flatMap(({ notice }) => notice ?? []),
      ...unmeasured.flatMap((row) => leftovers(row, named)),
      ...splitDecimalNotices(named, measured, samples),
      ...decimal.notices,
      ...reader.faults,
      ...unitAbove(named, machine, samples),
      ...indexNotices(readings, positionsWithUnit(named), named.header.cells[0]!),
    ],
  };
}

function notMeasured(row: Row, named: NamedTable): Notice | null {
  const cell = cellUnder(named, row, 'thickness');
  if (!cell || !saysNotMeasured(cell.text)) return null;
  return notMeasuredNotice(cell);
}

/** A row without a thickness is a place not measured; a figure in its margin may be a reading all the same. */
function leftovers(row: Row, named: NamedTable): Notice[] {
  return ['note', 'scale'].flatMap((name) => {
    const cell = cellUnder(named, row, name);
    return (cell && unusedNotice(cell)) ?? [];
  });
}

/** mm in one unit of a column's plain numbers: its header's unit, for thickness the `unit` cell's, the machine's. */
function factorOf(name: string, row: Row, named: NamedTable, machine: Machine): number {
  const header = named.columns.find((column) => column.name === name)?.factor ?? null;
  const unit = name === 'thickness' ? (cellUnder(named, row, 'unit')?.text ?? '') : '';
  return header ?? (unit === '' ? null : unitOf(unit)) ?? unitFactor(machine.unit) ?? 1;
}

function samplesOf(row: Row, named: NamedTable, machine: Machine): NumberSample[] {
  return LONG_FORM.lengths.flatMap((name) => {
    const cell = cellUnder(named, row, name);
    if (!cell) return [];
    return sampleOf(cell, mostOf(name, machine), factorOf(name, row, named, machine));
  });
}

function mostOf(name: string, machine: Machine): number {
  if (name === 'x') return machine.block.length;
  return name === 'thickness' || name === 'scale' ? THICKEST : LONGEST_BOARD;
}

function readRow(row: Row, reader: Reader): Reading | null {
  const { named, machine } = reader;
  const faults: Notice[] = [];
  const taking: Taking = { decimal: reader.decimal, faults };
  const under = (name: string) => cellUnder(named, row, name);
  const factor = (name: string) => factorOf(name, row, named, machine);
  const text = (name: string) => under(name)?.text || null;
  const who = readIds(row, reader, faults);
  checkUnit(under('unit'), faults);
  const length = takeLength(under('length'), factor('length'), taking, boardLengthFault);
  const x = takePosition('x', under('x')!, factor('x'), taking, (mm) => xFault(mm, machine));
  const y = takePosition('y', under('y')!, factor('y'), taking, (mm) => yFault(mm, length));
  const measured = under('thickness')!;
  const thickness = takeLength(measured, factor('thickness'), taking, thicknessFault);
  const run = readRun(under('run'), taking);
  const scale = readScale(under('scale'), factor('scale'), reader);
  reader.faults.push(...faults);
  if (faults.length > 0 || x === null || y === null || thickness === null) return null;
  return {
    file: named.table.file,
    line: row.line,
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

function readIds(
  row: Row,
  { named, machine }: Reader,
  faults: Notice[],
): Pick<Reading, 'board' | 'knife' | 'cut'> {
  const [boardCell, knifeCell] = [cellUnder(named, row, 'board')!, cellUnder(named, row, 'knife')!];
  const board = boardFault(boardCell.text, boardCell.guarded);
  if (board) faults.push(faultNotice(boardCell, board));
  const knife = knifeId(knifeCell.text);
  const wrongKnife = knifeFault(knife, machine);
  if (wrongKnife) faults.push(faultNotice(knifeCell, wrongKnife));
  const cutCell = cellUnder(named, row, 'cut');
  const cut = readCut(cutCell?.text ?? '', knife);
  if (typeof cut === 'string') return { board: boardCell.text, knife, cut };
  if (!wrongKnife || cut.code === 'unknown-cut') faults.push(faultNotice(cutCell!, cut));
  return { board: boardCell.text, knife, cut: 'hand' };
}

function checkUnit(cell: Cell | null, faults: Notice[]): void {
  if (!cell || cell.text === '' || unitOf(cell.text) !== null) return;
  faults.push(faultNotice(cell, unitFault(cell.text)));
}

/** The machine's pointer is only compared with: one that cannot be read is left out aloud. */
function readScale(cell: Cell | null, factor: number, reader: Reader): number | null {
  const own: Taking = { decimal: reader.decimal, faults: [] };
  const scale = takeLength(cell, factor, own);
  reader.faults.push(...own.faults.map((fault): Notice => ({ ...fault, severity: 'warning' })));
  return scale;
}

/** Names of the position columns whose header states a unit. */
function positionsWithUnit(named: NamedTable): string[] {
  return named.columns.flatMap(({ name, factor }) => (name && factor !== null ? [name] : []));
}

/** In long form `# unit: in` is a comment; where it contradicts what is used, values would be wrong. */
function unitAbove(
  named: NamedTable,
  machine: Machine,
  samples: readonly NumberSample[],
): Notice[] {
  const unit = fileKeys(named.table).find(({ key }) => key === 'unit');
  const factor = unit && unitOf(unit.value);
  if (!unit || factor === unitFactor(machine.unit)) return [];
  const bare = samples.some(({ cell, text }) => text === cell.text && text !== '');
  const all = ['x', 'y', 'thickness'].every((name) => positionsWithUnit(named).includes(name));
  if (!bare || all) return [];
  return [
    faultNotice(unit.cell, {
      code: 'unit-in-a-comment',
      message: `above a table in long form this is only a comment; plain numbers would be read in ${machine.unit}`,
      expected: 'units in the headers, such as x (in), y (in), thickness (in)',
      hint: 'write the unit into the headers and take this line away',
    }),
  ];
}
