import type { Notice } from '../notices/notice.js';
import { cellNotice } from './place.js';
import type { Cell, Row } from './table.js';

/** A warning for a cell that nothing reads though it may be a reading; null where it has no digit. */
export function unusedNotice(cell: Cell): Notice | null {
  if (!/\p{N}/u.test(cell.text)) return null;
  return cellNotice(cell, {
    code: 'unused-cell',
    severity: 'warning',
    message: 'nothing here reads this cell',
    hint: 'nothing to do if it is no reading; otherwise put it under a header of its own',
  });
}

/** Notices on columns without a name: a warning for each cell with a digit, a remark on mere words. */
export function unnamedCellNotices(columns: readonly number[], rows: readonly Row[]): Notice[] {
  return columns.flatMap((index) => {
    const cells = rows.flatMap((row) => row.cells[index] ?? []).filter(({ text }) => text !== '');
    const warnings = cells.flatMap((cell) => unusedNotice(cell) ?? []);
    const [first] = cells;
    if (warnings.length > 0 || !first) return warnings;
    return [
      cellNotice(first, {
        code: 'unnamed-column',
        severity: 'info',
        message: 'a column without a name is left out',
        hint: 'nothing to do if it holds no reading',
      }),
    ];
  });
}
