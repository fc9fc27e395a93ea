import type { Notice } from '../notices/notice.js';
import type { NumberSample } from './dialect.js';
import { cellUnder, type NamedTable } from './named-table.js';
import { cellNotice } from './place.js';
import type { Cell, Row } from './table.js';

const REMARKS = [null, 'note', 'by'];
const WHOLE = /^\d{1,3}$/;

/**
 * In a file separated by commas, `19,98` without quotes is a 19 and a 98 in the next column. Where that
 * column may hold anything, or may be empty, the fields count right and only this tells.
 */
export function splitDecimalNotices(
  named: NamedTable,
  rows: readonly Row[],
  samples: readonly NumberSample[],
): Notice[] {
  // A decimal anywhere shows that the file has its decimals in one piece.
  if (named.table.separator !== ',' || samples.some(({ text }) => /[.,/]/.test(text))) return [];
  // Whole thous and micrometres are usual: in those units a thickness runs into thousands.
  const fine = new Set(samples.flatMap(({ cell, most }) => (most > 1000 ? [cell] : [])));
  return rows.flatMap((row) => {
    const thickness = cellUnder(named, row, 'thickness');
    if (!thickness || !WHOLE.test(thickness.text) || fine.has(thickness)) return [];
    const next = row.cells[thickness.index + 1];
    const last = row.cells.findLast(({ text }) => text !== '');
    const decimals = [next, last].find((cell) => cell && couldBeDecimals(cell, named));
    if (!decimals) return [];
    return [
      cellNotice(decimals, {
        code: 'split-decimals',
        severity: 'error',
        message: 'this may be the decimals of a number written with a decimal comma',
        expected: 'semicolons between fields, or numbers with decimals in quotes',
        hint: `if ${thickness.text} mm is right, write ${thickness.text}.0; otherwise save with semicolons`,
      }),
    ];
  });
}

function couldBeDecimals(cell: Cell, named: NamedTable): boolean {
  if (cell.guarded || !WHOLE.test(cell.text)) return false;
  const { name = null } = named.columns[cell.index] ?? {};
  if (REMARKS.includes(name)) return true;
  if (name === 'length') return Number(cell.text) < 100;
  const counted = ['repeat', 'scoop', 'setting', 'run'].includes(name ?? '');
  return counted && (cell.text.length > 1 || cell.text === '0');
}
