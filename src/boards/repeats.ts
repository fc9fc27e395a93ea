import type { Notice } from '../notices/notice.js';
import type { TableKind } from './kinds.js';
import type { Reading } from './reading.js';

/** What was read of a row, as one text: equal for a row pasted twice. */
export interface RowKey {
  readonly key: string;
  readonly file: string;
  readonly line: number;
}

/** What one file came to: readings of thickness, or what another kind of file holds. */
export interface FileReadings<R = Reading> {
  readonly readings: readonly R[];
  readonly keys: readonly RowKey[];
  readonly notices: readonly Notice[];
}

/**
 * A warning for every row that stands there twice to the last cell, in one file or in two. Both count:
 * the same place read twice with the same outcome looks just like it.
 * Where that is usual it is only remarked on, but a whole table that stands there twice is warned of.
 * @param kind tells whether that is usual, and what to do about such a row
 */
export function repeatNotices(
  keys: readonly RowKey[],
  { repeats, twice: hint }: Pick<TableKind, 'repeats' | 'twice'>,
): Notice[] {
  const seen = new Map<string, RowKey>();
  const rows = keys.flatMap((row): Notice[] => {
    const first = seen.get(row.key);
    if (!first) {
      seen.set(row.key, row);
      return [];
    }
    const where = first.file === row.file ? `line ${first.line}` : `${first.file}:${first.line}`;
    return [
      {
        code: 'row-twice',
        severity: repeats ? 'info' : 'warning',
        message: `this row is the same as ${where} in every cell; both count`,
        file: row.file,
        line: row.line,
        column: 1,
        hint,
      },
    ];
  });
  return repeats ? [...rows, ...tableTwice(keys)] : rows;
}

/** Fewer rows than this may all have been read twice with the same outcome. */
const A_TABLE = 8;

/** Every row as often as every other, and more than once: pasted or given twice. */
function tableTwice(keys: readonly RowKey[]): Notice[] {
  const counts = new Map<string, number>();
  for (const { key } of keys) counts.set(key, (counts.get(key) ?? 0) + 1);
  if (keys.length < A_TABLE || [...counts.values()].some((count) => count < 2)) return [];
  const { file, line } = keys.at(-1)!;
  return [
    {
      code: 'table-twice',
      severity: 'warning',
      message: 'every row stands here more than once; all of them count',
      file,
      line,
      column: 1,
      hint: 'take the second copy away if the table was pasted or given twice',
    },
  ];
}
