import type { Notice } from '../notices/notice.js';
import { readNumber } from '../units/number.js';
import { splitUnit } from './cell.js';
import { fileKeys } from './keys.js';
import { cellNotice } from './place.js';
import { isStatistic } from './statistics.js';
import type { Cell, Row, Table } from './table.js';
import { faultNotice } from './take.js';
import { unnamedCellNotices, unusedNotice } from './unused.js';

/** A grid: x positions along `top`, a y position at the head of each row. */
export interface GridTable {
  readonly table: Table;
  readonly above: readonly Row[];
  readonly top: Row;
  readonly rows: readonly Row[];
}

/** What may stand in the corner: nothing, `y`, `y\\x`, with a unit for both. */
export const CORNER = /^y ?(?:[\\/|] ?x)?(?: ?[([] ?([^)\]]+?) ?[)\]])?$/i;
const MOST_ROWS_ABOVE = 40;

/** The grid in one of the ways to split a file; null where none of them looks like one. */
export function findGrid(tables: readonly Table[]): GridTable | null {
  for (const table of tables) {
    const keyed = fileKeys(table).length > 0;
    const first = table.rows.slice(0, MOST_ROWS_ABOVE);
    const numbers = first.findIndex((row) => isTop(row, keyed, isNumeric));
    // Names along the top are a grid all the same, and an error to be told of.
    const names = first.findIndex((row) => isTop(row, keyed, (text) => keyed && text !== ''));
    const at = numbers < 0 ? names : numbers;
    const top = table.rows[at];
    if (!top) continue;
    return { table, above: table.rows.slice(0, at), top, rows: table.rows.slice(at + 1) };
  }
  return null;
}

function isTop({ cells }: Row, keyed: boolean, isPosition: (text: string) => boolean): boolean {
  const [corner, ...further] = cells;
  const { text } = corner!;
  const wrongWay = keyed && /^x ?(?:[\\/|] ?y)?$/i.test(text);
  if (text !== '' && !CORNER.test(text) && !wrongWay) return false;
  return further.some((cell) => isPosition(cell.text));
}

/** True for a number with either mark and any unit. */
function isNumeric(text: string): boolean {
  const { number } = splitUnit(text);
  return readNumber(number, '.').ok || readNumber(number, ',').ok;
}

/** The rows of thicknesses, and what is said of the others. */
export function sortRows(grid: GridTable): { readonly rows: Row[]; readonly notices: Notice[] } {
  const notices = grid.above.flatMap((row) =>
    row.cells.flatMap((cell) => unusedNotice(cell) ?? []),
  );
  const rows = grid.rows.filter((row) => {
    const why = leftOut(row) ?? tooMany(row, grid);
    notices.push(...(why ?? []));
    return why === null;
  });
  return { rows, notices };
}

/** Why a row is no row of thicknesses: it holds statistics, or words alone. */
function leftOut(row: Row): Notice[] | null {
  const label = row.cells.find(({ text }) => text !== '')!;
  if (isStatistic(label.text)) return [skipped(label)];
  if (row.cells.some(({ text }) => isNumeric(text))) return null;
  const digits = row.cells.flatMap((cell) => unusedNotice(cell) ?? []);
  return digits.length > 0 ? digits : [wordsLeftOut(label)];
}

function tooMany(row: Row, grid: GridTable): Notice[] | null {
  const count = grid.top.cells.length;
  const extra = row.cells.slice(count).find(({ text }) => text !== '');
  if (!extra) return null;
  return [
    faultNotice(extra, {
      code: 'too-many-fields',
      message: `this row has ${row.cells.length} fields, the row of x positions ${count}`,
      expected: `at most ${count} fields`,
      hint: 'add the missing x above it; with decimal commas save with semicolons',
    }),
  ];
}

function skipped(label: Cell): Notice {
  return cellNotice(label, {
    code: 'statistics-skipped',
    severity: 'info',
    message: 'figures worked out from the others are left out',
    hint: 'nothing to do if they hold no reading',
  });
}

function wordsLeftOut(cell: Cell): Notice {
  return cellNotice(cell, {
    code: 'words-left-out',
    severity: 'info',
    message: 'words beside the grid are left out',
    hint: 'nothing to do if they hold no reading',
  });
}

/** The columns of thicknesses, and what is said of the others. */
export function sortColumns(
  grid: GridTable,
  rows: readonly Row[],
): { readonly stations: readonly Cell[]; readonly notices: readonly Notice[] } {
  const cells = grid.top.cells;
  const last = cells.findLastIndex(({ text }) => isNumeric(text));
  const notices: Notice[] = [];
  const stations = cells.slice(1).filter((head, at) => {
    const column = rows.flatMap((row) => row.cells[at + 1] ?? []);
    const numbers = column.some(({ text }) => isNumeric(text));
    if (isStatistic(head.text)) notices.push(skipped(head));
    else if (head.text === '' && at + 1 > last) notices.push(...unnamedCellNotices([at + 1], rows));
    else if (numbers || isNumeric(head.text) || /\d/.test(head.text)) return true;
    else if (head.text !== '') {
      notices.push(wordsLeftOut(head), ...column.flatMap((cell) => unusedNotice(cell) ?? []));
    }
    return false;
  });
  return { stations, notices };
}
