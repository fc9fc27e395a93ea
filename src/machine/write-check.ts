import type { Machine } from './machine.js';
import type { Problem } from './problem.js';
import { checkDocument } from './read-machine.js';
import { type Path, parseDocument, type TomlDocument } from './toml.js';
import { type Answers, plainFile } from './write-file.js';
import { QUESTIONS, type Question } from './write-questions.js';

/** What a machine file of these answers, and nothing else, comes to. */
export interface Check {
  /** The machine, where nothing is wrong or missing. */
  readonly machine: Machine | null;
  readonly problems: readonly Problem[];
  /** The answers as the file that was checked. */
  readonly document: TomlDocument;
}

/** Checks answers by all that a machine file is checked by. */
export async function checkAnswers(answers: Answers): Promise<Check> {
  const parsed = parseDocument(plainFile(answers));
  if ('problem' in parsed)
    throw new Error(`a machine file of answers is no TOML: ${parsed.problem}`);
  return { ...(await checkDocument(parsed.document)), document: parsed.document };
}

/**
 * As `checkAnswers`, with stand-ins for all that is still missing, so that doubts about what is answered
 * come as soon as it is.
 */
export async function checkSoFar(answers: Answers): Promise<Check> {
  const check = await checkAnswers(answers);
  const missing = QUESTIONS.filter(
    ({ key, standIn }) => standIn !== undefined && !answers.has(key) && isMissing(check, key),
  );
  if (missing.length === 0) return check;
  return checkSoFar(
    new Map([...answers, ...missing.map(({ key, standIn }) => [key, standIn!] as const)]),
  );
}

/** Whether a question's key, or a table that it stands in, is told to be missing. */
export function isMissing({ problems }: Check, key: string): boolean {
  return problems.some(
    ({ code, path }) =>
      code === 'missing-key' && (keyOf(path) === key || key.startsWith(`${keyOf(path)}.`)),
  );
}

/** What is wrong or doubtful about the answer to a question. */
export function problemsOf(
  { problems }: Pick<Check, 'problems'>,
  { key }: Question,
): readonly Problem[] {
  return problems.filter(({ code, path }) => code !== 'missing-key' && keyOf(path) === key);
}

/** The key of a question that a place in a file belongs to: what stands in a list is the list's. */
function keyOf(path: Path): string {
  const inList = path.findIndex((part) => typeof part === 'number');
  const keys = inList < 0 ? path : path.slice(0, inList);
  const key = keys.join('.');
  const known = QUESTIONS.find((each) => key.startsWith(`${each.key}.`));
  return known ? known.key : key;
}
