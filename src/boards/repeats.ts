import type { Notice } from '../notices/notice.js';
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
 * @param hint what to do about such a row
 */
export function repeatNotices(keys: readonly RowKey[], hint: string): Notice[] {
  const seen = new Map<string, RowKey>();
  return keys.flatMap((row) => {
    const first = seen.get(row.key);
    if (!first) {
      seen.set(row.key, row);
      return [];
    }
    const where = first.file === row.file ? `line ${first.line}` : `${first.file}:${first.line}`;
    return [
      {
        code: 'row-twice',
        severity: 'warning',
        message: `this row is the same as ${where} in every cell; both count`,
        file: row.file,
        line: row.line,
        column: 1,
        hint,
      } satisfies Notice,
    ];
  });
}
