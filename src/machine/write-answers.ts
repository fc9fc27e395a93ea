import type { TomlDocument } from './toml.js';
import type { Answers } from './write-file.js';
import { literalOfValue, valueOfLiteral } from './write-literal.js';
import { pathOf, QUESTIONS } from './write-questions.js';

/** What a machine file answers, right or wrong. */
export function answersOf(document: TomlDocument): Answers {
  return new Map(
    QUESTIONS.flatMap(({ key }) => {
      const value = valueAt(document, key);
      return value === undefined ? [] : [[key, literalAt(document, key, value)] as const];
    }),
  );
}

/** The value of a key; undefined where there is none, or a table above it is no table. */
function valueAt(document: TomlDocument, key: string): unknown {
  return pathOf(key).reduce<unknown>(
    (holder, name) =>
      typeof holder === 'object' && holder !== null && !Array.isArray(holder)
        ? (holder as Record<string, unknown>)[name]
        : undefined,
    document.value,
  );
}

/** As it stands in the file where that is a literal in one line, else put into one. */
function literalAt(document: TomlDocument, key: string, value: unknown): string {
  const written = document.written(pathOf(key));
  const isLine =
    written !== null && !/[\r\n]/.test(written) && valueOfLiteral(written) !== undefined;
  return isLine ? written : literalOfValue(value);
}

/** Whether a document holds these answers and no others. */
export function holds(document: TomlDocument, answers: Answers): boolean {
  const found = answersOf(document);
  return QUESTIONS.every(({ key }) => sameValue(found.get(key), answers.get(key)));
}

function sameValue(one: string | undefined, other: string | undefined): boolean {
  if (one === undefined || other === undefined) return one === other;
  return literalOfValue(valueOfLiteral(one)) === literalOfValue(valueOfLiteral(other));
}
