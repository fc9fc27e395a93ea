import type { Notice } from '../notices/notice.js';
import { missingNames, readColumns } from './columns.js';
import type { TableKind } from './kinds.js';
import { cellUnder, type NamedTable } from './named-table.js';
import { cellNotice } from './place.js';
import { isStatistic } from './statistics.js';
import type { Cell, Row } from './table.js';

/**
 * Looks at a row's fields without reading them.
 * @returns null for a row with all it needs, otherwise why it is no row to be read
 */
export function shapeNotice(row: Row, named: NamedTable, kind: TableKind): Notice | null {
  return (
    repeatedHeader(row, named, kind) ??
    statisticsRow(row, named, kind) ??
    swallowedRows(row, named, kind) ??
    tooMany(row, named) ??
    tooFew(row, named, kind)
  );
}

function repeatedHeader(row: Row, named: NamedTable, kind: TableKind): Notice | null {
  // Most rows are told from a header by this alone, in no time.
  if (!row.cells.some(({ text }) => text.toLowerCase().startsWith(kind.measured))) return null;
  if (missingNames(readColumns(row, kind), kind).length > 0) return null;
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
    expected: 'one header row',
    hint: same ? 'nothing to do' : 'put each table into a file of its own',
  });
}

/** A row such as `Mean,,,,19.98`: a label, and not all that a reading needs. */
function statisticsRow(row: Row, named: NamedTable, kind: TableKind): Notice | null {
  const cells = kind.required
    .filter((name) => name !== kind.measured)
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

/** In a narrow table, what a quote left open takes in looks like a remark of several lines. */
function swallowedRows(row: Row, named: NamedTable, kind: TableKind): Notice | null {
  const isRow = (line: string) => {
    const parts = line.split(named.table.separator).filter((part) => part.trim() !== '');
    const numbers = parts.filter((part) => /^\s*[+\-\u2212]?[\d.,]*\d/.test(part));
    return parts.length >= kind.required.length && numbers.length > 1;
  };
  const cell = row.cells.find(
    ({ text }) => text.includes('\n') && text.split('\n').slice(1).some(isRow),
  );
  if (!cell) return null;
  return cellNotice(cell, {
    code: 'unclosed-quote',
    severity: 'error',
    message: 'a quote opens here and closes only on a later line, with whole rows between',
    expected: 'the closing quote on the same line',
    hint: 'close the quote, or take it away',
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

function tooFew(row: Row, named: NamedTable, { required, measured }: TableKind): Notice | null {
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
  const needed = [...required, 'unit'].flatMap((name) => indexOf(name) ?? []);
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
