import type { Notice, Severity } from '../notices/notice.js';
import { exampleOf } from './examples.js';
import type { Path, TomlDocument } from './toml.js';

/** Something about one key of a machine file; its line and column are found by its path. */
export interface Problem {
  readonly code: string;
  readonly path: Path;
  /** What is wrong, to follow the key's name. */
  readonly message: string;
  readonly expected?: string;
  /** In place of the key's example. */
  readonly hint?: string;
  /** Points at the key itself, rather than at its value. */
  readonly atKey?: boolean;
  readonly severity?: Severity;
}

/** Longer values are cut short where they are quoted. */
const LONGEST_QUOTE = 60;

/** The notice of a problem: with file, line, column, what stood there, and a hint. */
export function toNotice(problem: Problem, document: TomlDocument, file: string): Notice {
  const { code, path, message, expected } = problem;
  const found = document.written(path);
  const hint = problem.hint ?? exampleOf(path);
  const place = problem.atKey ? document.keyPlace(path) : document.valuePlace(path);
  return {
    code,
    severity: problem.severity ?? 'error',
    message: `${nameOf(path)} ${message}`,
    file,
    ...place,
    ...(found === null || problem.atKey ? {} : { found: shortened(found) }),
    ...(expected === undefined ? {} : { expected }),
    ...(hint === undefined ? {} : { hint }),
  };
}

/** A key as a person would point at it: `block.knives`, `adjusters.at[2]` (counted from 1). */
export function nameOf(path: Path): string {
  return path
    .map((key, depth) =>
      typeof key === 'number' ? `[${key + 1}]` : `${depth === 0 ? '' : '.'}${key}`,
    )
    .join('');
}

function shortened(text: string): string {
  const line = text.replace(/\s+/g, ' ');
  return line.length <= LONGEST_QUOTE ? line : `${line.slice(0, LONGEST_QUOTE - 1)}…`;
}
