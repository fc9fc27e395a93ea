import { type Check, isMissing, problemsOf } from '../machine/write-check.js';
import type { Answers } from '../machine/write-file.js';
import { GROUPS, type Group, QUESTIONS, type Question } from '../machine/write-questions.js';

/** One thing that is asked: a question, whether a group of them is wanted, what becomes of a strange key. */
export type Step =
  | { readonly kind: 'question'; readonly id: string; readonly question: Question }
  | { readonly kind: 'group'; readonly id: string; readonly group: Group }
  | { readonly kind: 'stranger'; readonly id: string; readonly stranger: Stranger };

/** A key of an existing file that no machine file has. */
export interface Stranger {
  readonly path: readonly string[];
  readonly line: number;
  readonly hint: string;
}

/** Questions in their order, each group before the first of its own. */
export const STEPS: readonly Step[] = QUESTIONS.flatMap((question, index): Step[] => {
  const asked: Step = { kind: 'question', id: question.key, question };
  const isFirst = QUESTIONS.findIndex(({ group }) => group === question.group) === index;
  const group = isFirst && GROUPS.find(({ name }) => name === question.group);
  return group ? [groupStep(group), asked] : [asked];
});

function groupStep(group: Group): Step {
  return { kind: 'group', id: `group ${group.name}`, group };
}

export function strangerStep(stranger: Stranger): Step {
  return { kind: 'stranger', id: `stranger ${stranger.path.join('.')}`, stranger };
}

export function questionsOf(group: string): readonly Question[] {
  return QUESTIONS.filter((question) => question.group === group);
}

/** Whether other answers leave room for a question's. */
export function fits({ kind, needs, rival }: Question, answers: Answers): boolean {
  const adjusters = answers.get('adjusters.kind') === '"shim"' ? 'shim' : 'screw';
  return (
    (kind === undefined || kind === adjusters) &&
    (needs === undefined || answers.has(needs)) &&
    (rival === undefined || !answers.has(rival))
  );
}

/** Whether a file without this answer is none. */
export function isRequired({ key, insteadOf }: Question, check: Check): boolean {
  if (QUESTIONS.some((each) => each.insteadOf === key)) return false;
  if (insteadOf === undefined) return isMissing(check, key);
  const last = QUESTIONS.findLast((each) => each.insteadOf === insteadOf);
  return last?.key === key && isMissing(check, insteadOf);
}

/** What is wrong with the answer to a question; doubts are not. */
export function errorsOf(check: Pick<Check, 'problems'>, question: Question) {
  return problemsOf(check, question).filter(({ severity }) => severity !== 'warning');
}
