import { readLength, unitOf } from '../boards/cell.js';
import { THICKEST } from '../boards/checks.js';
import type { InputFile } from '../boards/decode.js';
import { decideDecimal, sampleOf } from '../boards/dialect.js';
import { LONG_FORM } from '../boards/kinds.js';
import { cellUnder, type NamedTable } from '../boards/named-table.js';
import { openNamedTable } from '../boards/open-table.js';
import { readBoards } from '../boards/read-boards.js';
import type { Row, Separator } from '../boards/table.js';
import type { Machine } from '../machine/machine.js';
import type { Notice } from '../notices/notice.js';
import { unitFactor } from '../units/length.js';
import type { DecimalMark } from '../units/number.js';
import type { Entry } from './entry.js';
import { fieldAt, lineStarts, replaced, type Span, type Splice } from './field-spans.js';
import type { Place } from './places.js';
import { KEPT_NOTE } from './sheet-csv.js';

/** A file of readings in long form as a sheet: every row is a place, measured or not. */
export interface Sheet {
  /** The file as it stands, byte-order mark and line ends and all. */
  readonly text: string;
  readonly separator: Separator;
  readonly decimal: DecimalMark;
  readonly rows: readonly SheetRow[];
}

export interface SheetRow {
  readonly line: number;
  readonly place: Place;
  /** What the file says of it; null where it is blank. */
  readonly entry: Entry | null;
  /** mm in one of what a plain number in the thickness column is. */
  readonly factor: number;
  readonly thickness: Target;
  /** Null where the file has no such column. */
  readonly note: Target | null;
}

/** Where a field stands in the text, or where it is to be put. */
interface Target extends Span {
  readonly text: string;
  /** Separators to be put before it where the row ends too early. */
  readonly missing: number;
}

/**
 * Reads a file of readings in long form as a sheet to be gone on with. Blank rows are held to the
 * same rules as measured ones.
 * @returns the sheet, or null with the errors of all rows; the reader's own remarks either way
 */
export function readSheet(
  file: InputFile,
  machine: Machine,
): { readonly sheet: Sheet | null; readonly notices: readonly Notice[] } {
  const text = textOf(file);
  if (text === null) return { sheet: null, notices: [notUtf8(file.name)] };
  const { named, notices } = openNamedTable(file, LONG_FORM);
  if (!named) return { sheet: null, notices };
  const targets = targetsOf(named, text);
  const asMeasured = { name: file.name, content: filledIn(text, targets, named.table.separator) };
  const all = readBoards([asMeasured], machine);
  const errors = all.notices.filter(({ severity }) => severity === 'error');
  if (errors.length > 0) return { sheet: null, notices: errors };
  const own = readBoards([file], machine).notices.filter(({ severity }) => severity !== 'error');
  const decimal = decimalOf(named, machine);
  const rows = all.readings.map((reading): SheetRow => {
    const { line, board, cut, knife, setting, repeat, x, y, thickness } = reading;
    const target = targets.find((each) => each.line === line)!;
    const isKept = target.note?.text.includes(KEPT_NOTE) ?? false;
    const entry = target.isBlank ? null : { thickness, cell: target.thickness.text, isKept };
    const { note } = target;
    const told = {
      ...(setting === null ? {} : { setting }),
      ...(repeat === null ? {} : { repeat }),
    };
    const place = { board, cut, knife, x, y, ...told };
    const factor = factorOf(target.row, named, machine);
    return { line, place, entry, factor, thickness: target.thickness, note };
  });
  return { sheet: { text, separator: named.table.separator, decimal, rows }, notices: own };
}

/**
 * The sheet's text with other entries. Fields of rows whose entry is as it was stay as they are, and
 * so does everything else.
 * @param entries one a row
 * @param unit of entries' cells where they carry none
 */
export function withEntries(
  sheet: Sheet,
  entries: readonly (Entry | null)[],
  unit: 'mm' | 'in',
): string {
  const splices = sheet.rows.flatMap((row, index) => {
    const entry = entries[index] ?? null;
    if (isSame(entry, row.entry)) return [];
    return [
      spliceOf(row.thickness, cellText(entry, row, sheet, unit), sheet.separator),
      ...noteSplices(row, entry, sheet.separator),
    ];
  });
  return replaced(sheet.text, splices);
}

function isSame(a: Entry | null, b: Entry | null): boolean {
  if (a === null || b === null) return a === b;
  return a.thickness === b.thickness && a.cell === b.cell && a.isKept === b.isKept;
}

/** An entry in the file's own dialect, with its unit where the column has another. */
function cellText(
  entry: Entry | null,
  { factor }: SheetRow,
  { decimal, separator }: Sheet,
  unit: 'mm' | 'in',
): string {
  if (entry === null) return '';
  const isPlain = /^[\d.]+$/.test(entry.cell);
  const withUnit = isPlain && factor !== unitFactor(unit) ? `${entry.cell} ${unit}` : entry.cell;
  const text = withUnit.replace('.', decimal);
  return text.includes(separator) ? `"${text}"` : text;
}

/** Only an empty note is written into, and only our own is taken away. */
function noteSplices({ note }: SheetRow, entry: Entry | null, separator: Separator): Splice[] {
  if (note === null) return [];
  if (entry?.isKept && note.text === '') return [spliceOf(note, KEPT_NOTE, separator)];
  return !entry?.isKept && note.text === KEPT_NOTE ? [spliceOf(note, '', separator)] : [];
}

function spliceOf({ from, to, missing }: Target, text: string, separator: Separator): Splice {
  return { from, to, text: separator.repeat(text === '' ? 0 : missing) + text };
}

interface RowTargets {
  readonly row: Row;
  readonly line: number;
  readonly isBlank: boolean;
  readonly thickness: Target;
  readonly note: Target | null;
}

/** Where thickness and note stand in every row that names a place. */
function targetsOf(named: NamedTable, text: string): RowTargets[] {
  const starts = lineStarts(text);
  const indexOf = (name: string) => named.columns.find((column) => column.name === name)?.index;
  const [thicknessAt, noteAt] = [indexOf('thickness')!, indexOf('note')];
  const isPlace = (row: Row) =>
    LONG_FORM.required.some((name) => (cellUnder(named, row, name)?.text ?? '') !== '');
  return named.rows.filter(isPlace).map((row) => {
    const target = (index: number, count: number): Target => {
      const cell = row.cells[Math.min(index, row.cells.length - 1)]!;
      const from = starts[cell.line - 1]! + cell.column - 1;
      const span = fieldAt(text, from, named.table.separator);
      if (index < row.cells.length) return { ...span, text: cell.text, missing: 0 };
      return { from: span.to, to: span.to, text: '', missing: index - count + 1 };
    };
    const count = row.cells.length;
    const thickness = target(thicknessAt, count);
    // A note is only ever written behind a thickness.
    const note = noteAt === undefined ? null : target(noteAt, Math.max(count, thicknessAt + 1));
    const reading = readLength(thickness.text, '.', 1);
    const isBlank = reading.kind === 'blank' || reading.kind === 'not-measured';
    return { row, line: row.line, isBlank, thickness, note };
  });
}

/** Any thickness, to read a row that has none yet. */
const SOME_THICKNESS = '20 mm';

/** The file with something to be read at every blank place, so that every row is read. */
function filledIn(text: string, targets: readonly RowTargets[], separator: Separator): Uint8Array {
  const blank = targets.filter(({ isBlank }) => isBlank);
  const splices = blank.map(({ thickness }) => spliceOf(thickness, SOME_THICKNESS, separator));
  return new TextEncoder().encode(replaced(text, splices));
}

/** mm in one of a row's plain thickness: the header's unit, the row's, the machine's. */
function factorOf(row: Row, named: NamedTable, machine: Machine): number {
  const header = named.columns.find(({ name }) => name === 'thickness')?.factor ?? null;
  const own = cellUnder(named, row, 'unit')?.text ?? '';
  return header ?? unitOf(own) ?? unitFactor(machine.unit)!;
}

/**
 * The file's decimal mark. Where no number has one yet, that of the spreadsheets which save with its
 * separator: semicolons stand where the comma is taken.
 */
function decimalOf(named: NamedTable, machine: Machine): DecimalMark {
  const samples = named.rows.flatMap((row) =>
    ['x', 'y', 'thickness'].flatMap((name) => {
      const cell = cellUnder(named, row, name);
      return cell ? [sampleOf(cell, THICKEST, factorOf(row, named, machine))] : [];
    }),
  );
  const { separator } = named.table;
  if (samples.some(({ text }) => /\d[.,]\d/.test(text)))
    return decideDecimal(samples, separator).decimal;
  return separator === ';' ? ',' : '.';
}

/** The bytes as text that writes back to the same bytes; null where they are not UTF-8. */
function textOf({ content }: InputFile): string | null {
  try {
    return new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(content);
  } catch {
    return null;
  }
}

function notUtf8(file: string): Notice {
  return {
    code: 'not-utf-8',
    severity: 'error',
    message: 'only a file in UTF-8 can be gone on with',
    file,
    line: 1,
    column: 1,
    expected: 'CSV in UTF-8',
    hint: 'open it in the spreadsheet and save it as "CSV UTF-8", or give another name after --out',
  };
}
