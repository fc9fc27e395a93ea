import * as v from 'valibot';
import type { UnitBook } from '../units/unit-book.js';
import type { Problem } from './problem.js';
import { type Description, machineSchema } from './schema.js';
import type { Path, TomlDocument } from './toml.js';
import { unknownKeys } from './unknown-keys.js';

/** A table of which any key may be missing, all the way down to lists and values. */
type Sparse<T> = T extends readonly unknown[] | string | number | boolean
  ? T
  : { readonly [K in keyof T]?: Sparse<T[K]> | undefined };

/** The keys of a machine file that are right by themselves; those that are not are left out. */
export type Draft = Sparse<Description>;

/** Every key taken by itself: what is right of them, and every problem. */
export function draftOf(
  document: TomlDocument,
  book: UnitBook,
): { readonly draft: Draft; readonly problems: readonly Problem[] } {
  const unit = document.value.unit === 'in' ? 'in' : 'mm';
  const schema = machineSchema(unit, book);
  const { output, issues = [] } = v.safeParse(schema, document.value);
  const problems = issues.map(problemOf);
  const faulty = problems.map(({ path }) => listOrKey(path));
  const draft = faulty.reduce<unknown>(without, output) as Draft;
  return { draft, problems: [...problems, ...unknownKeys(document.value, schema)] };
}

function problemOf(issue: v.BaseIssue<unknown>): Problem {
  const path = (issue.path ?? []).map(({ key }) => key as string | number);
  if (issue.input === undefined) {
    return { code: 'missing-key', path, message: 'is missing', atKey: true };
  }
  const shape = SHAPES[issue.type];
  return {
    code: 'bad-value',
    path,
    message: shape ? `is not ${shape}` : issue.message,
    expected: shape ?? issue.expected ?? 'another value',
  };
}

/** Shapes that valibot checks by itself, in a machinist's words. */
const SHAPES: Readonly<Record<string, string>> = {
  array: 'a list in square brackets',
  object: 'a table of keys and values',
  boolean: 'true or false',
};

/** A fault within a list leaves nothing of the list to build on. */
function listOrKey(path: Path): Path {
  const index = path.findIndex((key) => typeof key === 'number');
  return index < 0 ? path : path.slice(0, index);
}

function without(table: unknown, path: Path): unknown {
  const [key, ...rest] = path;
  if (key === undefined || typeof table !== 'object' || table === null) return undefined;
  const { [key]: inner, ...others } = table as Record<string, unknown>;
  return rest.length === 0 ? others : { ...others, [key]: without(inner, rest) };
}
