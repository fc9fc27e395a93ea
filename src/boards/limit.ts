import type { Notice } from '../notices/notice.js';

/** So many of a kind are shown for a file; more would hide what they have in common. */
const MOST_SHOWN = 20;

/**
 * Puts a file's notices in the order of its lines and shows at most twenty errors, and twenty of any
 * other notice of one code; one more says how many there are besides.
 */
export function limitNotices(notices: readonly Notice[]): Notice[] {
  const sorted = [...notices].sort(
    (a, b) => (a.line ?? 0) - (b.line ?? 0) || (a.column ?? 0) - (b.column ?? 0),
  );
  const kinds = new Map<string, Notice[]>();
  for (const notice of sorted) {
    const kind = notice.severity === 'error' ? 'error' : `${notice.severity} ${notice.code}`;
    const same = kinds.get(kind);
    if (same) same.push(notice);
    else kinds.set(kind, [notice]);
  }
  const hidden = new Set([...kinds.values()].flatMap((same) => same.slice(MOST_SHOWN)));
  return [...sorted.filter((notice) => !hidden.has(notice)), ...[...kinds.values()].flatMap(more)];
}

function more(same: readonly Notice[]): Notice[] {
  const [first, next] = [same[0], same[MOST_SHOWN]];
  if (!first || !next) return [];
  const count = same.length - MOST_SHOWN;
  const error = first.severity === 'error';
  return [
    {
      code: error ? 'more-errors' : 'more-notices',
      severity: first.severity,
      message: error
        ? `${count} more ${count === 1 ? 'error' : 'errors'} in this file`
        : `${count} more of the same kind: ${first.code}`,
      ...(next.file === undefined ? {} : { file: next.file }),
      ...(next.line === undefined ? {} : { line: next.line }),
      ...(next.column === undefined ? {} : { column: next.column }),
      hint: error ? 'mend these and try again' : 'see the notices above',
    },
  ];
}
