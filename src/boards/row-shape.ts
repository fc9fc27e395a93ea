import type { Notice } from '../notices/notice.js';
import { type ColumnNames, missingNames, readColumns } from './columns.js';
import { cellUnder, type NamedTable } from './named-table.js';
import { cellNotice } from './place.js';
import { isStatistic } from './statistics.js';
import type { Cell, Row } from './table.js';

/**
 * Looks at a row's fields without reading them.
 * @param measured the column whose absence means that the place was not measured
 * @returns null for a row with all it needs, otherwise why it is no row to be read
 */
export function shapeNotice(
  row: Row,
  named: NamedTable,
  names: ColumnNames,
  measured: string,
): Notice | null {
  return (
    repeatedHeader(row, named, names, measured) ??
    statisticsRow(row, named, names, measured) ??
    tooMany(row, named) ??
    tooFew(row, named, names, measured)
  );
}

function repeatedHeader(
  row: Row,
  named: NamedTable,
  names: ColumnNames,
  measured: string,
): Notice | null {
  // Most rows are told from a header by this alone, in no time.
  if (!row.cells.some(({ text }) => text.toLowerCase().startsWith(measured))) return null;
  if (missingNames(readColumns(row, names), names).length > 0) return null;
  const texts = (cells: readonly Cell[]) =>
    cells
      .map(({ text }) => text.toLowerCase())
      .join('\n')
      .trim();
  const same = texts(row.cells) === texts(named.header.cells);
  return cellNotice(row.cells[0]!, {
    code: same ? 'repeated-header' : 'second-table',
    severity: same ? 'info' : 'error',
    message: same ? 'the header row stands here again' : 'another table begins here',
    hint: same ? 'nothing to do' : 'put each table into a file of its own',
  });
}

/** A row such as `Mean,,,,19.98`: a label, and not all that a reading needs. */
function statisticsRow(
  row: Row,
  named: NamedTable,
  names: ColumnNames,
  measured: string,
): Notice | null {
  const cells = names.required
    .filter((name) => name !== measured)
    .map((name) => cellUnder(named, row, name));
  const label =
    cells.find((cell) => cell && isStatistic(cell.text)) ??
    row.cells.find((cell, at) => named.columns[at]?.header.text === '' && isStatistic(cell.text));
  const complete = cells.every((cell) => cell && cell.text !== '');
  if (!label || complete) return null;
  return cellNotice(label, {
    code: 'statistics-skipped',
    severity: 'info',
    message: 'a row of figures worked out from the others is left out',
    hint: 'nothing to do if it holds no reading',
  });
}

function tooMany(row: Row, named: NamedTable): Notice | null {
  const extra = row.cells.slice(named.columns.length).find(({ text }) => text !== '');
  if (!extra) return null;
  const comma = named.table.separator === ',';
  return cellNotice(extra, {
    code: 'too-many-fields',
    severity: 'error',
    message: `this row has ${row.cells.length} fields, its header ${named.columns.length}`,
    expected: `${named.columns.length} fields`,
    hint: comma
      ? 'put a field that holds a comma into quotes; with decimal commas save with semicolons'
      : 'put a field that holds the separator into quotes',
  });
}

function tooFew(row: Row, named: NamedTable, names: ColumnNames, measured: string): Notice | null {
  const count = row.cells.length;
  const last = row.cells.at(-1)!;
  const indexOf = (name: string) => named.columns.find((column) => column.name === name)?.index;
  if (count === indexOf(measured)) {
    return cellNotice(last, {
      code: 'not-measured',
      severity: 'info',
      message: `this row ends before its ${measured}: a place not measured`,
    });
  }
  // A row cut off before its unit would be read in another one.
  const needed = [...names.required, 'unit'].flatMap((name) => indexOf(name) ?? []);
  if (needed.every((index) => index < count)) return null;
  const other = [';', '\t', ',', '|'].find(
    (sign) => sign !== named.table.separator && last.text.includes(sign),
  );
  return cellNotice(last, {
    code: 'too-few-fields',
    severity: 'error',
    message: `this row ends after ${count} of ${named.columns.length} fields`,
    expected: `${Math.max(...needed) + 1} fields or more`,
    hint: other
      ? 'this row has another separator than the header: use one in the whole file'
      : 'fill in what is missing; where nothing was measured leave only the last field empty',
  });
}
