import { parseDocument } from './toml.js';
import { holds } from './write-answers.js';
import { withKey } from './write-edit.js';
import { type Answers, inlineLiteral } from './write-file.js';
import { pathOf, QUESTIONS } from './write-questions.js';

/** A change of a file: a key, or a table of them, set or taken out. */
interface Change {
  readonly path: readonly string[];
  readonly literal: string | null;
}

/**
 * A machine file with other answers: only what differs is touched, so that comments and order stay.
 *
 * @param before what the file answers now
 * @returns null where the file is laid out so that this cannot be done
 */
export function corrected(text: string, before: Answers, after: Answers): string | null {
  let changed = text;
  for (const { path, literal } of changesOf(before, after)) {
    // A change may have left no TOML behind where the file is laid out oddly.
    if ('problem' in parseDocument(changed)) return null;
    changed = withKey(changed, path, literal);
  }
  const parsed = parseDocument(changed);
  return 'document' in parsed && holds(parsed.document, after) ? changed : null;
}

/** Keys whose answers differ, and those that only one of the two has. */
export function changedKeys(before: Answers, after: Answers): readonly string[] {
  return QUESTIONS.map(({ key }) => key).filter((key) => before.get(key) !== after.get(key));
}

function changesOf(before: Answers, after: Answers): Change[] {
  const keys = changedKeys(before, after);
  const tables = [...new Set(keys.flatMap(tablesAbove))];
  const emptied = tables.filter((table) => isThere(before, table) && !isThere(after, table));
  const begun = tables.filter(
    (table) => pathOf(table).length > 1 && isThere(after, table) && !isThere(before, table),
  );
  return [
    ...emptied.map((table) => ({ path: pathOf(table), literal: null })),
    ...begun.map((table) => ({
      path: pathOf(table),
      literal: inlineLiteral(keysUnder(after, table), after),
    })),
    ...keys
      .filter((key) => !begun.some((table) => key.startsWith(`${table}.`)))
      .map((key) => ({ path: pathOf(key), literal: after.get(key) ?? null })),
  ];
}

function tablesAbove(key: string): string[] {
  const path = pathOf(key);
  return path.slice(1).map((_, depth) => path.slice(0, depth + 1).join('.'));
}

function keysUnder(answers: Answers, table: string): string[] {
  return QUESTIONS.map(({ key }) => key).filter(
    (key) => key.startsWith(`${table}.`) && answers.has(key),
  );
}

function isThere(answers: Answers, table: string): boolean {
  return keysUnder(answers, table).length > 0;
}
