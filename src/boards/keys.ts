import { clean } from './clean.js';
import { slipOf } from './columns.js';
import type { Cell, Comment, Separator, Table } from './table.js';

/** What lines such as `# board: A` above a grid can say. */
export const KEYS = ['board', 'knife', 'cut', 'setting', 'run', 'length', 'unit'] as const;
export type Key = (typeof KEYS)[number];

/** One such line: its value, and the line as a cell to point at. */
export interface FileKey {
  readonly key: Key;
  readonly value: string;
  readonly guarded: boolean;
  readonly cell: Cell;
}

/** The comments of a table that are keys, in order. */
export function fileKeys(table: Table): FileKey[] {
  return table.comments.flatMap((comment) => readKey(comment, table.separator) ?? []);
}

/** The key that a comment like `# unti: in` probably means. */
export function misspeltKey(comment: Comment): Key | null {
  const name = /^\s*(\p{L}+)\s*[:=]/u.exec(comment.text)?.[1]?.toLowerCase() ?? '';
  if (name === 'units' || (KEYS as readonly string[]).includes(name)) return null;
  return slipOf(name, KEYS) as Key | null;
}

// A spreadsheet puts the value into the next cell, or pads the line with empty cells.
function readKey(comment: Comment, separator: Separator): FileKey | null {
  const sign = separator === '\t' ? '\\t' : separator;
  const line = new RegExp(`^[\\s${sign}]*(\\p{L}+)\\s*([:=${sign}])(.*)$`, 'su');
  const [, name = '', mark = '', rest = ''] = line.exec(comment.text) ?? [];
  const key = KEYS.find((known) => known === name.toLowerCase().replace(/^units$/, 'unit'));
  if (!key) return null;
  const padding = new RegExp(`^[\\s:=${sign}]+|[\\s${sign}]+$`, 'g');
  const value = (mark === separator ? rest : rest.replace(/^[:=]/, '')).replace(padding, '');
  const { text, guarded } = clean(value);
  return { key, value: text, guarded, cell: comment.cell };
}
