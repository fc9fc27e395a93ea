import type { Notice } from '../notices/notice.js';
import { decode, type InputFile } from './decode.js';
import { splitEachWay } from './dialect.js';
import type { TableKind } from './kinds.js';
import { findNamedTable, headerNotices, type NamedTable } from './named-table.js';
import { noTableNotice } from './no-table.js';
import { otherMeasuredNotice } from './wrong-kind.js';

/** Reads a file of named columns, whatever its dialect; null with errors where it is no such table. */
export function openNamedTable(
  file: InputFile,
  kind: TableKind,
): { readonly named: NamedTable | null; readonly notices: readonly Notice[] } {
  const decoded = decode(file);
  if (decoded.text === null) return { named: null, notices: decoded.notices };
  const split = splitEachWay(file, decoded.text);
  const notices = [...decoded.notices, ...split.notices];
  if (split.tables.length === 0) return { named: null, notices };
  const named = findNamedTable(split.tables, kind);
  if (!named) {
    return { named, notices: [...notices, noTableNotice(file.name, split.tables, kind)] };
  }
  const wrong = otherMeasuredNotice(named.header, kind);
  if (wrong) return { named: null, notices: [...notices, wrong] };
  return { named, notices: [...notices, ...headerNotices(named, kind)] };
}
