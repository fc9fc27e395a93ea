import type { Machine } from '../machine/machine.js';
import type { Notice } from '../notices/notice.js';
import { missingNames, readColumns } from './columns.js';
import { decode, type InputFile } from './decode.js';
import { splitEachWay } from './dialect.js';
import { readGridForm } from './grid-form.js';
import { findGrid } from './grid-table.js';
import { LONG_FORM } from './kinds.js';
import { readLongForm } from './long-form.js';
import { findNamedTable } from './named-table.js';
import { noTableNotice, orEmpty } from './no-table.js';
import { readFiles } from './read-files.js';
import type { Reading } from './reading.js';
import type { FileReadings } from './repeats.js';
import type { Table } from './table.js';
import { wrongKindNotice } from './wrong-kind.js';

const OR_A_GRID =
  '; or a grid: # board: and # knife: lines, then a row of x positions behind an empty corner';

/** The readings of some files, or what is wrong with them. */
export interface BoardReadings {
  /** In mm, in the order of the files and their rows; empty where any notice is an error. */
  readonly readings: readonly Reading[];
  readonly notices: readonly Notice[];
}

/**
 * Reads thicknesses from CSV files, in long form or as grids, in whatever dialect each is written.
 * @param files each a name for notices and the bytes as they were read
 * @param machine gives knife ids, the block's length, and the unit of plain numbers
 * @returns all readings or none, with the faults of all files: at most twenty errors a file, then how
 * many more there are
 */
export function readBoards(files: readonly InputFile[], machine: Machine): BoardReadings {
  return readFiles(files, LONG_FORM, (file) => readFile(file, machine));
}

function readFile(file: InputFile, machine: Machine): FileReadings {
  const decoded = decode(file);
  if (decoded.text === null) return { readings: [], keys: [], notices: decoded.notices };
  const split = splitEachWay(file, decoded.text);
  const result = readEitherForm(file.name, split.tables, machine);
  const notices = [...decoded.notices, ...split.notices, ...result.notices];
  return { ...result, notices };
}

function readEitherForm(file: string, tables: readonly Table[], machine: Machine): FileReadings {
  const named = findNamedTable(tables, LONG_FORM);
  if (named) {
    return orEmpty(readLongForm(named, machine), named.table, named.header.line, LONG_FORM);
  }
  const wrong = wrongKindNotice(tables, LONG_FORM);
  const grid = !wrong && mostColumns(tables) < 3 ? findGrid(tables) : null;
  if (grid) return orEmpty(readGridForm(grid, machine), grid.table, grid.top.line, LONG_FORM);
  if (tables.length === 0) return { readings: [], keys: [], notices: [] };
  return { readings: [], keys: [], notices: [noTableNotice(file, tables, LONG_FORM, OR_A_GRID)] };
}

/** How many columns of the long form the likeliest header has: three and it was meant to be one. */
function mostColumns(tables: readonly Table[]): number {
  const counts = tables.flatMap(({ rows }) =>
    rows.slice(0, 3).map((row) => 5 - missingNames(readColumns(row, LONG_FORM), LONG_FORM).length),
  );
  return Math.max(0, ...counts);
}
