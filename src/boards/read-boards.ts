import type { Machine } from '../machine/machine.js';
import { hasErrors, type Notice } from '../notices/notice.js';
import { missingNames, readColumns } from './columns.js';
import { decode, type InputFile } from './decode.js';
import { splitEachWay } from './dialect.js';
import { readGridForm } from './grid-form.js';
import { findGrid } from './grid-table.js';
import { limitNotices } from './limit.js';
import { LONG_FORM, readLongForm } from './long-form.js';
import { findNamedTable, missingColumns } from './named-table.js';
import type { Reading } from './reading.js';
import { type FileReadings, repeatNotices } from './repeats.js';
import type { Table } from './table.js';

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
  const perFile = files.map((file) => readFile(file, machine));
  const twice = repeatNotices(perFile.flatMap(({ keys }) => keys));
  const notices = files.flatMap((file, at) => {
    const own = perFile[at]!.notices;
    const again = files.findIndex(({ name }) => name === file.name) === at;
    return limitNotices([
      ...own,
      ...(again ? twice.filter((notice) => notice.file === file.name) : []),
    ]);
  });
  const readings = hasErrors(notices) ? [] : perFile.flatMap((each) => each.readings);
  return { readings, notices };
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
  if (named) return orEmpty(readLongForm(named, machine), file, named.header.line, named.table);
  const grid = mostColumns(tables) < 3 ? findGrid(tables) : null;
  if (grid) return orEmpty(readGridForm(grid, machine), file, grid.top.line, grid.table);
  if (tables.length === 0) return { readings: [], keys: [], notices: [] };
  return { readings: [], keys: [], notices: [noTable(file, tables)] };
}

/** How many columns of the long form the likeliest header has: three and it was meant to be one. */
function mostColumns(tables: readonly Table[]): number {
  const counts = tables.flatMap(({ rows }) =>
    rows.slice(0, 3).map((row) => 5 - missingNames(readColumns(row, LONG_FORM), LONG_FORM).length),
  );
  return Math.max(0, ...counts);
}

function noTable(file: string, tables: readonly Table[]): Notice {
  const broken = tables.flatMap(({ notices }) => notices)[0];
  if (tables.some(({ rows }) => rows.length === 0)) {
    return broken ?? noReadings(file, 1, tables[0]);
  }
  return missingColumns(
    file,
    tables,
    LONG_FORM,
    '; or a grid: # board: and # knife: lines, then a row of x positions behind an empty corner',
  );
}

/** A file without a reading and without an error has lost them: an error of its own. */
function orEmpty(result: FileReadings, file: string, line: number, table: Table): FileReadings {
  if (result.readings.length > 0 || hasErrors(result.notices)) return result;
  return { ...result, notices: [...result.notices, noReadings(file, line, table)] };
}

function noReadings(file: string, line: number, table: Table | undefined): Notice {
  const commented = table?.comments.filter(({ text }) => /\d.*[,;\t]/.test(text)).length ?? 0;
  return {
    code: 'no-readings',
    severity: 'error',
    message: 'there is no reading in this file',
    file,
    line,
    column: 1,
    expected: 'at least one row with a thickness',
    hint:
      commented > 0
        ? `rows that start with # are comments, ${commented} of them look like readings`
        : 'fill in what was measured and save the file',
  };
}
