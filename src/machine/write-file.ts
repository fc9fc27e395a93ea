import { literalOf } from './write-forms.js';
import { pathOf, QUESTIONS, type Question, questionOf } from './write-questions.js';

/** What is answered so far: TOML literals by the keys of questions. */
export type Answers = ReadonlyMap<string, string>;

/** Tables that a file always has, so that a missing key is told as one. */
const ALWAYS = ['block', 'adjusters'];

const WIDTH = 80;

/** The answers as a machine file without a word beside them. */
export function plainFile(answers: Answers): string {
  return fileOf(answers, () => []);
}

/**
 * The answers as a machine file in which a comment says what each key is.
 *
 * @param open keys that were passed over: a line that would do stands in a comment
 * @param taken what is taken for keys that a file leaves out, in words
 */
export function commentedFile(
  answers: Answers,
  open: readonly string[],
  taken: ReadonlyMap<string, string>,
): string {
  const unit = unitOf(answers);
  const head = comment(
    `A machine file for proofboard. A length without a unit is in ${unit === 'mm' ? 'mm' : 'inches'}; "3 3/4 in" or "40 thou" has its own.`,
  );
  const body = fileOf(
    answers,
    (question) => comment(`${question.title}: ${question.what}.`),
    (question) => (open.includes(question.key) ? openLines(question, unit, taken) : []),
  );
  return `${head.join('\n')}\n\n${body}`;
}

/** The unit of numbers without one. */
export function unitOf(answers: Answers): 'mm' | 'in' {
  return answers.get('unit') === '"in"' ? 'in' : 'mm';
}

function openLines(question: Question, unit: 'mm' | 'in', taken: ReadonlyMap<string, string>) {
  const words = question.passed ?? taken.get(question.key);
  const meaning = words === undefined ? '' : ` Not given: ${words}.`;
  const example = literalOf(question, question.typical[unit]);
  return [
    ...comment(`${question.title}: ${question.what}.${meaning}`),
    ...('literal' in example ? [`# ${pathOf(question.key).at(-1)} = ${example.literal}`] : []),
  ];
}

type Lines = (question: Question) => readonly string[];

function fileOf(answers: Answers, above: Lines, without: Lines = () => []): string {
  const tables = new Map<string, string[]>();
  for (const question of QUESTIONS) {
    const [table, ...rest] = [...pathOf(question.key).slice(0, -1)];
    const name = table ?? '';
    const lines = tables.get(name) ?? [];
    tables.set(name, lines);
    if (rest.length > 0) lines.push(...inlineTable(question, answers, above));
    else if (answers.has(question.key)) lines.push(...above(question), pair(question, answers));
    else lines.push(...without(question));
  }
  const texts = [...tables].map(([name, lines]) => tableText(name, lines));
  return `${texts.filter((text) => text !== '').join('\n\n')}\n`;
}

/** A table with nothing but comments in it is left out: to the reader it would be there. */
function tableText(name: string, lines: readonly string[]): string {
  if (name === '') return lines.join('\n');
  const isThere = ALWAYS.includes(name) || lines.some((line) => !line.startsWith('#'));
  if (isThere) return [`[${name}]`, ...lines].join('\n');
  return lines.length === 0 ? '' : [`# [${name}]`, ...lines].join('\n');
}

/** A table within a table stands in one line, at its first key that is answered. */
function inlineTable(question: Question, answers: Answers, above: Lines): readonly string[] {
  const parent = parentOf(question);
  const own = QUESTIONS.filter((each) => answers.has(each.key) && parentOf(each) === parent);
  if (own[0] !== question) return [];
  return [
    ...own.flatMap(above),
    `${pathOf(parent).at(-1)} = ${inlineLiteral(
      own.map(({ key }) => key),
      answers,
    )}`,
  ];
}

/** Answers as one inline table. */
export function inlineLiteral(keys: readonly string[], answers: Answers): string {
  return `{ ${keys.map((key) => pair(questionOf(key), answers)).join(', ')} }`;
}

function parentOf({ key }: Question): string {
  return pathOf(key).slice(0, -1).join('.');
}

function pair({ key }: Question, answers: Answers): string {
  return `${pathOf(key).at(-1)} = ${answers.get(key)}`;
}

/** A sentence as comment lines. */
function comment(text: string): string[] {
  const lines: string[] = [];
  let line = '#';
  for (const word of text.split(' ')) {
    if (line.length + 1 + word.length > WIDTH) {
      lines.push(line);
      line = '#';
    }
    line += ` ${word}`;
  }
  return [...lines, line];
}
