import { distance } from 'fastest-levenshtein';
import { unitFactor } from '../units/length.js';
import type { Cell, Row } from './table.js';

/** The columns that a kind of CSV file has; names in lower case. */
export interface ColumnNames {
  readonly required: readonly string[];
  readonly optional: readonly string[];
  /** Those that hold lengths: a unit may stand in their headers. */
  readonly lengths: readonly string[];
  /** Those that only people read: losing one changes no result. */
  readonly remarks: readonly string[];
}

export interface Column {
  /** One of the known names; null for a column that has none of them. */
  readonly name: string | null;
  readonly header: Cell;
  readonly index: number;
  /** mm in one unit where the header names a unit. */
  readonly factor: number | null;
  /** The header's unit where it is not a unit of length known here. */
  readonly unknownUnit: string | null;
}

// "x (mm)", "x [mm]", "x, mm", "x_mm", "x mm", "x in mm", "x/mm", "x".
const NAME_AND_UNIT =
  /^(.+?)(?:\s*[([{]\s*(.*?)\s*[)\]}]|(?:[\s_,/:]+(?:in[\s_]+)?)([^\s_,/:]+))?$/;

/** Reads a header row: one column a cell, known or not. */
export function readColumns(row: Row, names: ColumnNames): Column[] {
  return row.cells.map((header, index) => ({ header, index, ...readHeader(header.text, names) }));
}

function readHeader(
  text: string,
  names: ColumnNames,
): Pick<Column, 'name' | 'factor' | 'unknownUnit'> {
  const header = text
    .toLowerCase()
    .replace(/\s+/g, ' ')
    .replace(/ ?:$/, '')
    .replace(/(?<=[a-z])(["”″]|'')$/, ' in');
  const plain = { factor: null, unknownUnit: null };
  if ([...names.required, ...names.optional].includes(header)) return { name: header, ...plain };
  const [, name = '', inBrackets, behind] = NAME_AND_UNIT.exec(header) ?? [];
  if (!names.lengths.includes(name)) return { name: null, ...plain };
  const unit = inBrackets ?? behind ?? '';
  const factor = unitFactor(unit);
  // "x (ft.)" is x in a unit not known here; "x offset" is another column.
  if (factor === null && inBrackets === undefined) return { name: null, ...plain };
  return { name, factor, unknownUnit: factor === null ? unit : null };
}

/** The known names that no column has. */
export function missingNames(columns: readonly Column[], names: ColumnNames): string[] {
  return names.required.filter((name) => !columns.some((column) => column.name === name));
}

/** The candidate that a slip of the pen turns into this text; null when none is that near. */
export function slipOf(text: string, candidates: readonly string[]): string | null {
  const letters = (word: string) => [...word].sort().join('');
  const near = (candidate: string) => {
    const away = distance(text, candidate);
    return away === 1 || (away === 2 && letters(text) === letters(candidate));
  };
  // Every third word is one letter away from a name of three letters; its plural is meant.
  const meant = (candidate: string) =>
    candidate.length > 3 ? near(candidate) : text === `${candidate}s`;
  return candidates.find(meant) ?? null;
}
