import type { Notice } from '../notices/notice.js';
import type { NumberSample } from './dialect.js';
import type { TableKind } from './kinds.js';
import { cellUnder, type NamedTable } from './named-table.js';
import { cellNotice } from './place.js';
import type { Cell, Row } from './table.js';

const REMARKS = [null, 'note', 'by'];
const WHOLE = /^[+\-\u2212]?\d{1,5}$/;
const DECIMALS = /^\d{1,3}$/;

/**
 * In a file separated by commas, `19,98` without quotes is a 19 and a 98 in the next column. Where that
 * column may hold anything, or may be empty, the fields count right and only this tells.
 */
export function splitDecimalNotices(
  named: NamedTable,
  kind: TableKind,
  rows: readonly Row[],
  samples: readonly NumberSample[],
): Notice[] {
  // A decimal anywhere shows that the file has its decimals in one piece.
  if (named.table.separator !== ',' || samples.some(({ text }) => /[.,/]/.test(text))) return [];
  // Whole thous and micrometres are usual.
  const fine = new Set(samples.flatMap(({ cell, factor }) => (factor < 0.1 ? [cell] : [])));
  return rows.flatMap((row) => {
    const whole = cellUnder(named, row, kind.measured);
    if (!whole || !WHOLE.test(whole.text) || fine.has(whole)) return [];
    const next = row.cells[whole.index + 1];
    const last = row.cells.findLast(({ text }) => text !== '');
    const decimals = [next, last].find((cell) => cell && couldBeDecimals(cell, named, kind));
    if (!decimals) return [];
    return [
      cellNotice(decimals, {
        code: 'split-decimals',
        severity: 'error',
        message: 'this may be the decimals of a number written with a decimal comma',
        expected: 'semicolons between fields, or numbers with decimals in quotes',
        hint: `if ${whole.text} is right, write ${whole.text}.0; otherwise save with semicolons`,
      }),
    ];
  });
}

function couldBeDecimals(cell: Cell, named: NamedTable, { required }: TableKind): boolean {
  if (cell.guarded || !DECIMALS.test(cell.text)) return false;
  const { name = null } = named.columns[cell.index] ?? {};
  if (REMARKS.includes(name)) return true;
  if (name === 'length') return Number(cell.text) < 100;
  if (name === 'knife') return !required.includes(name);
  const counted = ['repeat', 'scoop', 'setting', 'run', 'zero'].includes(name ?? '');
  return counted && (cell.text.length > 1 || cell.text === '0');
}
