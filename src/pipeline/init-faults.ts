import type { Problem } from '../machine/problem.js';
import type { TomlDocument } from '../machine/toml.js';
import { valueOfLiteral } from '../machine/write-literal.js';
import type { Question } from '../machine/write-questions.js';
import { placeWithin } from './init-notices.js';

/** What is wrong with an answer, to follow its name. */
export interface Fault {
  readonly problem: string;
  /** What stood there; null where the whole answer is meant. */
  readonly found: string | null;
  readonly expected: string | null;
  readonly hint?: string;
}

/** A fault as the file's own checks found it. */
export function faultOf(question: Question, problem: Problem, document: TomlDocument): Fault {
  const { message, expected, hint, path } = problem;
  const within = placeWithin(question, path);
  return {
    problem: within === '' ? message : `${within.slice(2)} ${message}`,
    found: plainly(document.written(path)),
    expected: expected ?? null,
    ...(hint === undefined ? {} : { hint }),
  };
}

/** A text without the quotes that TOML puts round it. */
export function plainly(literal: string | null): string | null {
  const value = literal === null ? null : valueOfLiteral(literal);
  return typeof value === 'string' ? value : literal;
}
