import type { Machine } from '../machine/machine.js';
import { hasErrors, type Notice } from '../notices/notice.js';
import { unitFactor } from '../units/length.js';
import { saysNotMeasured, unitFault, unitOf } from './cell.js';
import { decideDecimal, type NumberSample, sampleOf } from './dialect.js';
import { indexNotices, type Place } from './indexes.js';
import { fileKeys } from './keys.js';
import type { TableKind } from './kinds.js';
import { cellUnder, type NamedTable } from './named-table.js';
import type { FileReadings } from './repeats.js';
import { shapeNotice } from './row-shape.js';
import { splitDecimalNotices } from './split-decimals.js';
import type { Cell, Row } from './table.js';
import { faultNotice, notMeasuredNotice, type Taking } from './take.js';
import { unusedNotice } from './unused.js';

/** How the rows of one kind of file are read. */
export interface RowForm<R> {
  readonly kind: TableKind;
  /** The largest that a number in a column can be, mm. */
  readonly most: (name: string, machine: Machine) => number;
  /** Reads a row whose fields count right; faults go to `taking`. */
  readonly read: (taking: RowTaking) => R | null;
  /** What only the rows together tell to be wrong. */
  readonly together?: (named: NamedTable, rows: readonly Row[], machine: Machine) => Notice[];
}

/** One row being read. */
export interface RowTaking extends Taking {
  readonly machine: Machine;
  readonly file: string;
  readonly line: number;
  /** The cell under a name; null where there is none. */
  readonly under: (name: string) => Cell | null;
  /** mm in one unit of a column's plain numbers. */
  readonly factor: (name: string) => number;
}

/**
 * Reads the rows of a table with named columns.
 * @returns what the rows hold, in mm, and every fault of them; the readings count only if none is an
 * error, here or in the header
 */
export function readRows<R extends Place>(
  named: NamedTable,
  machine: Machine,
  form: RowForm<R>,
): FileReadings<R> {
  const { kind } = form;
  const shapes = named.rows.map((row) => ({
    row,
    notice: shapeNotice(row, named, kind) ?? notMeasured(row, named, kind),
  }));
  const rows = shapes.flatMap(({ row, notice }) => (notice === null ? [row] : []));
  const samples = rows.flatMap((row) => samplesOf(row, named, machine, form));
  const { decimal, notices: inNumbers } = decideDecimal(samples, named.table.separator);
  const isBlank = (row: Row) => cellUnder(named, row, kind.measured)?.text === '';
  const measured = rows.filter((row) => !isBlank(row));
  const unmeasured = [
    ...rows.filter(isBlank),
    ...shapes.flatMap(({ row, notice }) => (notice?.code === 'not-measured' ? [row] : [])),
  ];
  const faults: Notice[] = [];
  const read = measured.flatMap((row) => {
    const taking = takingOf(row, named, machine, kind, decimal);
    checkUnit(taking);
    const reading = form.read(taking);
    faults.push(...taking.faults);
    return reading === null || hasErrors(taking.faults) ? [] : [{ row, reading }];
  });
  const split = splitDecimalNotices(named, kind, measured, samples);
  const readings = read.map(({ reading }) => reading);
  return {
    readings,
    keys: read.map(({ row, reading }) => rowKey(row, reading, named)),
    notices: [
      ...shapes.flatMap(({ notice }) => notice ?? []),
      ...unmeasured.flatMap((row) => leftovers(row, named)),
      // Halves of numbers tell nothing of the rest.
      ...(split.length > 0 ? split : (form.together?.(named, measured, machine) ?? [])),
      ...inNumbers,
      ...faults,
      ...unitAbove(named, kind, machine, samples),
      ...indexNotices(readings, withUnit(named), named.header.cells[0]!),
    ],
  };
}

function notMeasured(row: Row, named: NamedTable, { measured }: TableKind): Notice | null {
  const cell = cellUnder(named, row, measured);
  if (!cell || !saysNotMeasured(cell.text)) return null;
  return notMeasuredNotice(cell);
}

/** A row without what was measured is a place not measured; a figure in its margin may be it all the same. */
function leftovers(row: Row, named: NamedTable): Notice[] {
  return ['note', 'scale'].flatMap((name) => {
    const cell = cellUnder(named, row, name);
    return (cell && unusedNotice(cell)) ?? [];
  });
}

/** The header's unit, for what was measured the `unit` cell's, the machine's. */
function factorOf(
  name: string,
  row: Row,
  named: NamedTable,
  machine: Machine,
  { measured }: TableKind,
): number {
  const header = named.columns.find((column) => column.name === name)?.factor ?? null;
  const unit = name === measured ? (cellUnder(named, row, 'unit')?.text ?? '') : '';
  return header ?? (unit === '' ? null : unitOf(unit)) ?? unitFactor(machine.unit) ?? 1;
}

function samplesOf<R>(
  row: Row,
  named: NamedTable,
  machine: Machine,
  { kind, most }: RowForm<R>,
): NumberSample[] {
  return kind.lengths.flatMap((name) => {
    const cell = cellUnder(named, row, name);
    if (!cell) return [];
    return sampleOf(cell, most(name, machine), factorOf(name, row, named, machine, kind));
  });
}

function takingOf(
  row: Row,
  named: NamedTable,
  machine: Machine,
  kind: TableKind,
  decimal: Taking['decimal'],
): RowTaking {
  return {
    machine,
    decimal,
    faults: [],
    file: named.table.file,
    line: row.line,
    under: (name) => cellUnder(named, row, name),
    factor: (name) => factorOf(name, row, named, machine, kind),
  };
}

function checkUnit({ under, faults }: RowTaking): void {
  const cell = under('unit');
  if (!cell || cell.text === '' || unitOf(cell.text) !== null) return;
  faults.push(faultNotice(cell, unitFault(cell.text)));
}

/** All that was read of a row, and what only people read in it. */
function rowKey(row: Row, reading: object, named: NamedTable) {
  const texts = ['repeat', 'by', 'note'].map((name) => cellUnder(named, row, name)?.text ?? '');
  const key = [JSON.stringify({ ...reading, file: '', line: 0 }), ...texts].join('\n');
  return { key, file: named.table.file, line: row.line };
}

/** Names of the columns whose header states a unit. */
function withUnit(named: NamedTable): string[] {
  return named.columns.flatMap(({ name, factor }) => (name && factor !== null ? [name] : []));
}

/** Above named columns `# unit: in` is a comment; where it contradicts what is used, values would be wrong. */
function unitAbove(
  named: NamedTable,
  { required, lengths }: TableKind,
  machine: Machine,
  samples: readonly NumberSample[],
): Notice[] {
  const unit = fileKeys(named.table).find(({ key }) => key === 'unit');
  const factor = unit && unitOf(unit.value);
  if (!unit || factor === unitFactor(machine.unit)) return [];
  const bare = samples.some(({ cell, text }) => text === cell.text && text !== '');
  const needed = required.filter((name) => lengths.includes(name));
  if (!bare || needed.every((name) => withUnit(named).includes(name))) return [];
  return [
    faultNotice(unit.cell, {
      code: 'unit-in-a-comment',
      message: `above a table with a row of names this is only a comment; plain numbers would be read in ${machine.unit}`,
      expected: `units in the headers, such as ${needed.map((name) => `${name} (in)`).join(', ')}`,
      hint: 'write the unit into the headers and take this line away',
    }),
  ];
}
