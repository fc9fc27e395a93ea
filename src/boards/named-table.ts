import type { Notice } from '../notices/notice.js';
import { type Column, type ColumnNames, missingNames, readColumns, slipOf } from './columns.js';
import { cellNotice } from './place.js';
import type { Cell, Row, Table } from './table.js';
import { unnamedCellNotices, unusedNotice } from './unused.js';

/** A table whose columns have names: the header found, what stands above it, and the rows below. */
export interface NamedTable {
  readonly table: Table;
  readonly above: readonly Row[];
  readonly header: Row;
  readonly columns: readonly Column[];
  readonly rows: readonly Row[];
}

/** Titles and a gauge's own heading; whoever writes more above a table is not keeping readings. */
export const MOST_ROWS_ABOVE = 40;

/** The table whose header has every required name; its separator makes one of the candidates. */
export function findNamedTable(tables: readonly Table[], names: ColumnNames): NamedTable | null {
  for (const table of tables) {
    const at = table.rows
      .slice(0, MOST_ROWS_ABOVE)
      .findIndex((row) => missingNames(readColumns(row, names), names).length === 0);
    const header = table.rows[at];
    if (!header) continue;
    const columns = readColumns(header, names);
    const above = table.rows.slice(0, at);
    return { table, above, header, columns, rows: table.rows.slice(at + 1) };
  }
  return null;
}

/** A row's cell under a name; null where the column is missing or the row ends before it. */
export function cellUnder(named: NamedTable, row: Row, name: string): Cell | null {
  const column = named.columns.find((candidate) => candidate.name === name);
  return (column && row.cells[column.index]) ?? null;
}

/** What is wrong with a header, and which of its columns are left out. */
export function headerNotices(named: NamedTable, names: ColumnNames): Notice[] {
  return [
    ...named.table.notices,
    ...named.above.flatMap((row) => row.cells.flatMap((cell) => unusedNotice(cell) ?? [])),
    ...duplicates(named.columns),
    ...named.columns.flatMap((column) => columnNotice(column, names) ?? []),
    ...unnamedCellNotices(
      named.columns.filter(({ header }) => header.text === '').map(({ index }) => index),
      named.rows,
    ),
  ];
}

function duplicates(columns: readonly Column[]): Notice[] {
  const key = (column: Column) => column.name ?? column.header.text.toLowerCase();
  return columns
    .filter((column, at) => {
      const first = columns.findIndex((other) => key(other) === key(column));
      return key(column) !== '' && first < at;
    })
    .map(({ header, name }) =>
      cellNotice(header, {
        code: 'duplicate-header',
        severity: 'error',
        message: `two columns are called ${name ?? header.text}`,
        expected: 'each column name once',
        hint: 'rename or remove one of them; a second reading of a place is a row of its own',
      }),
    );
}

function columnNotice(column: Column, names: ColumnNames): Notice | null {
  const { header, name, unknownUnit } = column;
  if (unknownUnit !== null) {
    return cellNotice(header, {
      code: 'unknown-unit',
      severity: 'error',
      message: `"${unknownUnit}" is not a unit of length known here`,
      expected: `${name} (mm) or ${name} (in)`,
      hint: 'correct the unit in the header',
    });
  }
  if (name !== null || header.text === '') return null;
  const meant = slipOf(header.text.toLowerCase(), [...names.required, ...names.optional]);
  return cellNotice(header, {
    code: meant ? 'misspelt-column' : 'unknown-column',
    severity: meant && !names.remarks.includes(meant) ? 'error' : 'warning',
    message: meant ? 'a column name is misspelt' : 'this column is left out',
    expected: meant ?? [...names.required, ...names.optional].join(', '),
    hint: meant ? `call the column ${meant}` : 'nothing to do if it holds no reading',
  });
}
