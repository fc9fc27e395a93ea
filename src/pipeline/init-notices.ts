import type { Problem } from '../machine/problem.js';
import type { TomlDocument } from '../machine/toml.js';
import type { Check } from '../machine/write-check.js';
import { QUESTIONS, type Question } from '../machine/write-questions.js';
import type { Notice } from '../notices/notice.js';
import { isRequired } from './init-steps.js';

/** What is wrong, to follow a name, and what would be right. */
type Wrong = Pick<Problem, 'message' | 'expected' | 'hint'> &
  Partial<Pick<Problem, 'code' | 'path'>>;

/** The notice of an option whose value will not do. */
export function optionNotice(
  question: Question,
  typed: string,
  wrong: Wrong,
  unit: 'mm' | 'in',
  document?: TomlDocument,
): Notice {
  const { option } = question;
  const within = wrong.path ? placeWithin(question, wrong.path) : '';
  const part = within === '' ? null : document?.written(wrong.path!);
  return {
    code: wrong.code ?? 'bad-value',
    severity: 'error',
    message: `--${option}${within} ${wrong.message}`,
    found: part ?? (typed === '' ? 'nothing' : typed),
    ...(wrong.expected === undefined ? {} : { expected: wrong.expected }),
    hint: wrong.hint ?? `for example ${optionExample(question, unit)}`,
  };
}

/** `, value 2,` for a fault within a list. */
export function placeWithin(question: Question, path: Problem['path']): string {
  const inside = path.slice(question.key.split('.').length);
  const index = inside.find((part) => typeof part === 'number');
  return typeof index === 'number' ? `, value ${index + 1},` : '';
}

/** Every option that a machine file cannot do without. */
export function missingNotices(check: Check, unit: 'mm' | 'in'): Notice[] {
  const missing = QUESTIONS.filter((question) => isRequired(question, check));
  return missing.map((question) => {
    const instead = QUESTIONS.filter(
      ({ insteadOf }) => insteadOf !== undefined && insteadOf === question.insteadOf,
    );
    const first = QUESTIONS.find(({ key }) => key === question.insteadOf);
    const choices = first ? [first, ...instead] : [question];
    const names = choices.map(({ option }) => `--${option}`).join(' or ');
    const shown = choices[0]!;
    return {
      code: 'missing-option',
      severity: 'error',
      message: `${names} is missing: ${shown.what}`,
      hint: `for example ${optionExample(shown, unit)}`,
    };
  });
}

function optionExample({ option, typical }: Question, unit: 'mm' | 'in'): string {
  const value = typical[unit];
  return `--${option} ${/^[\w./,-]+$/.test(value) ? value : `"${value}"`}`;
}
