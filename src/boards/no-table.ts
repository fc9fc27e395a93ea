import { hasErrors, type Notice } from '../notices/notice.js';
import { missingNames, readColumns, slipOf } from './columns.js';
import type { TableKind } from './kinds.js';
import { MOST_ROWS_ABOVE } from './named-table.js';
import type { FileReadings } from './repeats.js';
import type { Row, Table } from './table.js';
import { wrongKindNotice } from './wrong-kind.js';

/**
 * The error for a file that is no table of a kind: nothing in it, of another kind, or columns missing.
 * @param tables the file as each separator would split it, at least one
 * @param other another form in which such a file may be written, in words
 */
export function noTableNotice(
  file: string,
  tables: readonly Table[],
  kind: TableKind,
  other = '',
): Notice {
  const broken = tables.flatMap(({ notices }) => notices)[0];
  if (tables.some(({ rows }) => rows.length === 0)) {
    return broken ?? nothingIn(file, 1, tables[0], kind);
  }
  return wrongKindNotice(tables, kind) ?? missingColumns(file, tables, kind, other);
}

/** A file without a measurement and without an error has lost them: an error of its own. */
export function orEmpty<R>(
  result: FileReadings<R>,
  table: Table,
  line: number,
  kind: TableKind,
): FileReadings<R> {
  if (result.readings.length > 0 || hasErrors(result.notices)) return result;
  return { ...result, notices: [...result.notices, nothingIn(table.file, line, table, kind)] };
}

function nothingIn(file: string, line: number, table: Table | undefined, kind: TableKind): Notice {
  const commented = table?.comments.filter(({ text }) => /\d.*[,;\t]/.test(text)).length ?? 0;
  return {
    code: 'no-readings',
    severity: 'error',
    message: `there is no ${kind.row} in this file`,
    file,
    line,
    column: 1,
    expected: `at least one row with a ${kind.measured}`,
    hint:
      commented > 0
        ? `rows that start with # are comments, ${commented} of them look like ${kind.rows}`
        : 'fill in what was measured and save the file',
  };
}

/** Which columns are missing and which were found. */
function missingColumns(
  file: string,
  tables: readonly Table[],
  kind: TableKind,
  other: string,
): Notice {
  const best = likeliestHeader(tables, kind);
  const missing = missingNames(best ? readColumns(best, kind) : [], kind);
  const found = best?.cells.map((cell) => cell.text).filter((text) => text !== '') ?? [];
  const slips = found.flatMap((text) => {
    const meant = slipOf(text.toLowerCase(), missing);
    return meant ? [`call "${text}" ${meant}`] : [];
  });
  return {
    code: 'missing-column',
    severity: 'error',
    message: `this is no table of ${kind.rows}: ${missing.join(', ')} missing`,
    file,
    line: best?.line ?? 1,
    column: best?.cells[0]?.column ?? 1,
    found: found.slice(0, 12).join(', '),
    expected: `a header row with ${kind.required.join(', ')}, separated by comma, semicolon or tab${other}`,
    hint:
      slips.join(', ') ||
      `add a header row above the ${kind.rows}, or give the columns these names`,
  };
}

/** The row with most of the names; where hardly one is there, the first row, split into most fields. */
function likeliestHeader(tables: readonly Table[], kind: TableKind): Row | undefined {
  const [best] = tables
    .flatMap(({ rows }) =>
      rows.slice(0, MOST_ROWS_ABOVE).map((row, at) => {
        const present = readColumns(row, kind).filter(({ name }) => name !== null).length;
        return { row, at, present: present > 1 ? present : 0 };
      }),
    )
    .sort(
      (a, b) => b.present - a.present || a.at - b.at || b.row.cells.length - a.row.cells.length,
    );
  return best?.row;
}
