import type { Notice } from '../notices/notice.js';
import { readColumns } from './columns.js';
import { fileKeys } from './keys.js';
import { KINDS, LONG_FORM, type TableKind } from './kinds.js';
import { findNamedTable } from './named-table.js';
import { cellNotice } from './place.js';
import type { Cell, Row, Table } from './table.js';

/** The error for a file that is of another kind than the one asked for; null where none is seen. */
export function wrongKindNotice(tables: readonly Table[], kind: TableKind): Notice | null {
  for (const other of KINDS) {
    const named = other === kind ? null : findNamedTable(tables, other);
    if (named) return looksLike(named.header.cells[0]!, other, kind);
  }
  const heading = kind === LONG_FORM ? null : gridHeading(tables);
  return heading && looksLike(heading, LONG_FORM, kind);
}

/**
 * The error for a header that has all names of a kind, and besides them the one by which another kind
 * is known that has those names too: thickness readings have all that knife marks have.
 */
export function otherMeasuredNotice(header: Row, kind: TableKind): Notice | null {
  for (const other of KINDS) {
    const includes = [...other.required, ...other.optional].includes(kind.measured);
    if (other === kind || !includes) continue;
    const measured = readColumns(header, other).find(({ name }) => name === other.measured);
    if (measured) return looksLike(measured.header, other, kind);
  }
  return null;
}

/** A grid of thicknesses says above it which board and which knife it is of. */
function gridHeading(tables: readonly Table[]): Cell | null {
  const keys = tables.flatMap((table) => fileKeys(table));
  const [board, knife] = ['board', 'knife'].map((name) => keys.find(({ key }) => key === name));
  return board && knife ? board.cell : null;
}

function looksLike(cell: Cell, other: TableKind, kind: TableKind): Notice {
  return cellNotice(cell, {
    code: 'wrong-kind',
    severity: 'error',
    message: `these look like ${other.rows}, not ${kind.rows}`,
    expected: `a header row with ${kind.required.join(', ')}`,
    hint: other.belongs,
  });
}
