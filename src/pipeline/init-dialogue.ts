import { type Check, checkAnswers, checkSoFar, problemsOf } from '../machine/write-check.js';
import { unitOf } from '../machine/write-file.js';
import { literalOf, typedOf } from '../machine/write-forms.js';
import { howToWrite } from '../machine/write-how.js';
import { type Group, QUESTIONS, type Question } from '../machine/write-questions.js';
import { type Init, isLeftOut } from './init.js';
import { answersWith } from './init-answers.js';
import { type Fault, faultOf } from './init-faults.js';
import { sectionOf } from './init-options.js';
import {
  errorsOf,
  fits,
  isRequired,
  questionsOf,
  STEPS,
  type Step,
  type Stranger,
  strangerStep,
} from './init-steps.js';

/** Where a dialogue about a machine file stands. */
export interface Dialogue {
  readonly init: Init;
  /** What was asked and answered or passed over, in that order. */
  readonly asked: readonly string[];
  /** Groups of questions by name: whether they are wanted. */
  readonly wanted: ReadonlyMap<string, boolean>;
  /** An answer that is right but unlikely, until it is given again. */
  readonly doubted: { readonly id: string; readonly literal: string } | null;
  /** Keys that were wrong in the existing file: asked first. */
  readonly faulty: readonly string[];
}

/** What is asked next, and all that whoever answers needs to know. */
export type Asking =
  | {
      readonly kind: 'question';
      readonly question: Question;
      readonly unit: 'mm' | 'in';
      /** How an answer is written, in a sentence. */
      readonly how: string;
      readonly section: string;
      /** The answer so far, as it would be typed. */
      readonly current: string | null;
      /** Whether Enter keeps that answer: not where it is wrong. */
      readonly isKept: boolean;
      readonly isRequired: boolean;
      /** What is taken when it is passed over, in words. */
      readonly taken: string | null;
      /** What is wrong with the answer so far. */
      readonly faults: readonly Fault[];
      readonly isDoubted: boolean;
    }
  | { readonly kind: 'group'; readonly group: Group; readonly isWanted: boolean }
  | { readonly kind: 'stranger'; readonly stranger: Stranger };

/** What is to be told after an answer. */
export type Said =
  | { readonly kind: 'wrong' | 'doubted'; readonly faults: readonly Fault[] }
  | { readonly kind: 'needed' | 'at-first' | 'stays-unreadable' }
  | { readonly kind: 'taken-as'; readonly typed: string }
  | { readonly kind: 'dropped'; readonly questions: readonly Question[] }
  | {
      readonly kind: 'pinned';
      readonly questions: readonly Question[];
      readonly unit: 'mm' | 'in';
    };

export interface Answered {
  readonly dialogue: Dialogue;
  readonly said: readonly Said[];
}

export function startDialogue(init: Init): Dialogue {
  const { file } = init;
  const wrong = file
    ? QUESTIONS.filter((question) => errorsOf({ problems: file.problems }, question).length > 0)
    : [];
  const unread = file?.damaged.map(({ key }) => key) ?? [];
  const faulty = [...unread, ...wrong.map(({ key }) => key)].filter((key) => !init.given.has(key));
  return { init, asked: [], wanted: new Map(), doubted: null, faulty };
}

/** The step to be asked next; null when all has been. */
export async function nextStep(dialogue: Dialogue): Promise<Step | null> {
  const { init, asked, faulty } = dialogue;
  const open = (step: Step) => !asked.includes(step.id);
  const strangers = (init.file?.strangers ?? []).map(strangerStep);
  const first = [...strangers, ...STEPS.filter(({ id }) => faulty.includes(id))].find(open);
  if (first) return first;
  const check = await checkAnswers(init.answers);
  const next = STEPS.find((step) => open(step) && isAsked(step, dialogue, check));
  // Later answers may have made an earlier one wrong, or needed.
  return (
    next ?? STEPS.find((step) => step.kind === 'question' && isAmiss(step.question, check)) ?? null
  );
}

function isAmiss(question: Question, check: Check): boolean {
  return errorsOf(check, question).length > 0 || isRequired(question, check);
}

function isAsked(step: Step, { init, wanted }: Dialogue, check: Check): boolean {
  const { answers, given } = init;
  if (step.kind === 'stranger') return false;
  if (step.kind === 'group') {
    const own = questionsOf(step.group.name);
    return (
      own.some((each) => !each.needs && fits(each, answers)) &&
      !own.some(({ key }) => given.has(key))
    );
  }
  const { question } = step;
  if (given.has(question.key)) return false;
  if (isRequired(question, check)) return true;
  if (!fits(question, answers) && !answers.has(question.key)) return false;
  const { group } = question;
  return (
    group === undefined ||
    (wanted.get(group) ?? questionsOf(group).some(({ key }) => given.has(key)))
  );
}

/** What to show for a step. */
export async function askingOf(step: Step, { init, doubted }: Dialogue): Promise<Asking> {
  if (step.kind === 'stranger') return { kind: 'stranger', stranger: step.stranger };
  if (step.kind === 'group') {
    const { group } = step;
    return { kind: 'group', group, isWanted: hasAnswers(group, init) };
  }
  const { question } = step;
  const { answers } = init;
  const literal = answers.get(question.key);
  const [check, whole] = [await checkAnswers(answers), await checkSoFar(answers)];
  const assumed = whole.machine?.assumed.find(({ key }) => key === question.key)?.value;
  return {
    kind: 'question',
    question,
    unit: unitOf(answers),
    how: howToWrite(question, unitOf(answers)),
    section: sectionOf(question),
    current: literal === undefined ? null : typedOf(question, literal),
    isKept: literal !== undefined && faultsOf(check, question).length === 0,
    isRequired: isRequired(question, await checkWithout(init, question)),
    taken: question.passed ?? assumed ?? null,
    faults: [...damageOf(init, question), ...faultsOf(check, question)],
    isDoubted: doubted?.id === step.id,
  };
}

function faultsOf(check: Check, question: Question): Fault[] {
  return errorsOf(check, question).map((problem) => faultOf(question, problem, check.document));
}

/** What kept a line of the existing file from being read. */
function damageOf({ file, mended }: Init, { key }: Question): Fault[] {
  const damaged = file?.damaged.filter((line) => line.key === key && !mended.includes(key)) ?? [];
  return damaged.map(({ place, written, problem }) => ({
    problem: `in line ${place.line} could not be read`,
    found: written,
    expected: null,
    hint: `${problem}. The line stays as a comment.`,
  }));
}

function hasAnswers({ name }: Group, { answers }: Init): boolean {
  return questionsOf(name).some(({ key }) => answers.has(key));
}

/** Answers checked as if one had never been given. */
function checkWithout({ answers }: Init, { key }: Question): Promise<Check> {
  return checkAnswers(new Map([...answers].filter(([each]) => each !== key)));
}

/** One step back, to what was asked before; again and again. */
export function stepBack(dialogue: Dialogue): Answered {
  const { asked } = dialogue;
  if (asked.length === 0) return { dialogue, said: [{ kind: 'at-first' }] };
  return { dialogue: { ...dialogue, asked: asked.slice(0, -1), doubted: null }, said: [] };
}

/** What a typed line comes to as the answer to a step. */
export async function answerStep(dialogue: Dialogue, step: Step, line: string): Promise<Answered> {
  const typed = line.trim();
  if (isBack(typed, step)) return stepBack(dialogue);
  if (step.kind === 'stranger') return answerStranger(dialogue, step, typed);
  if (step.kind === 'group') return answerGroup(dialogue, step, typed);
  if (typed === '') return answerNothing(dialogue, step);
  if (isLeftOut(typed)) return leaveOut(dialogue, step);
  const { question } = step;
  const written = literalOf(question, line);
  if ('literal' in written) return take(dialogue, step, written.literal, typed);
  const { problem, expected } = written;
  return say(dialogue, { kind: 'wrong', faults: [{ problem, found: typed, expected }] });
}

/** `back` may be the answer where any text is. */
function isBack(typed: string, step: Step): boolean {
  const isFree = step.kind === 'question' && step.question.form === 'text';
  return typed === '<' || (!isFree && /^back$/i.test(typed));
}

type QuestionStep = Extract<Step, { readonly kind: 'question' }>;

async function answerNothing(dialogue: Dialogue, step: QuestionStep): Promise<Answered> {
  const { init, doubted } = dialogue;
  const { question, id } = step;
  if (doubted?.id === id) return accept(dialogue, step, doubted.literal);
  const check = await checkAnswers(init.answers);
  if (init.answers.has(question.key)) {
    const faults = faultsOf(check, question);
    return faults.length === 0
      ? say(settled(dialogue, id))
      : say(dialogue, { kind: 'wrong', faults });
  }
  if (isRequired(question, check)) return say(dialogue, { kind: 'needed' });
  return say(settled(dialogue, id));
}

async function leaveOut(dialogue: Dialogue, step: QuestionStep): Promise<Answered> {
  const { question } = step;
  if (isRequired(question, await checkWithout(dialogue.init, question))) {
    return say(dialogue, { kind: 'needed' });
  }
  return accept(dialogue, step, null);
}

/** Takes an answer, unless the file's own checks find fault with it. */
async function take(
  dialogue: Dialogue,
  step: QuestionStep,
  literal: string,
  typed: string,
): Promise<Answered> {
  const { question, id } = step;
  const { answers } = answersWith(dialogue.init.answers, question, literal);
  const check = await checkSoFar(answers);
  const errors = faultsOf(check, question);
  if (errors.length > 0) {
    return say({ ...dialogue, doubted: null }, { kind: 'wrong', faults: errors });
  }
  const doubts = problemsOf(check, question);
  if (doubts.length > 0 && dialogue.doubted?.literal !== literal) {
    const faults = doubts.map((problem) => faultOf(question, problem, check.document));
    return say({ ...dialogue, doubted: { id, literal } }, { kind: 'doubted', faults });
  }
  const accepted = accept(dialogue, step, literal);
  const understood = typedOf(question, literal);
  if (understood === typed) return accepted;
  return { ...accepted, said: [{ kind: 'taken-as', typed: understood }, ...accepted.said] };
}

function accept(
  dialogue: Dialogue,
  { question, id }: QuestionStep,
  literal: string | null,
): Answered {
  const { init } = dialogue;
  const unit = unitOf(init.answers);
  const { answers, dropped, pinned } = answersWith(init.answers, question, literal);
  const said: Said[] = [
    ...(dropped.length > 0 ? [{ kind: 'dropped', questions: dropped } as const] : []),
    ...(pinned.length > 0 ? [{ kind: 'pinned', questions: pinned, unit } as const] : []),
  ];
  return say(settled(dialogue, id, { ...init, answers }), ...said);
}

function answerGroup(
  dialogue: Dialogue,
  { group, id }: Extract<Step, { readonly kind: 'group' }>,
  typed: string,
): Answered {
  const { init } = dialogue;
  const isWanted = typed === '' ? hasAnswers(group, init) : yesOrNo(typed);
  if (isWanted === null) return say(dialogue, { kind: 'wrong', faults: [neither(typed)] });
  const wanted = new Map([...dialogue.wanted, [group.name, isWanted] as const]);
  const own = questionsOf(group.name);
  const dropped = isWanted ? [] : own.filter(({ key }) => init.answers.has(key));
  const answers = new Map(
    [...init.answers].filter(([key]) => !dropped.some((each) => each.key === key)),
  );
  const next = settled({ ...dialogue, wanted }, id, { ...init, answers });
  return dropped.length > 0 ? say(next, { kind: 'dropped', questions: dropped }) : say(next);
}

function answerStranger(
  dialogue: Dialogue,
  { stranger, id }: Extract<Step, { readonly kind: 'stranger' }>,
  typed: string,
): Answered {
  const isOut = typed === '' ? true : yesOrNo(typed);
  if (isOut === null) return say(dialogue, { kind: 'wrong', faults: [neither(typed)] });
  if (!isOut) return say(dialogue, { kind: 'stays-unreadable' });
  const { init } = dialogue;
  return say(
    settled(dialogue, id, {
      ...init,
      takenOut: [...init.takenOut.filter((each) => each !== stranger), stranger],
    }),
  );
}

/** Yes or no as a word; null for anything else. */
export function yesOrNo(typed: string): boolean | null {
  if (/^y(es)?$/i.test(typed)) return true;
  return /^no?$/i.test(typed) ? false : null;
}

function neither(typed: string): Fault {
  return { problem: 'is neither yes nor no', found: typed, expected: 'yes or no' };
}

function settled(dialogue: Dialogue, id: string, init = dialogue.init): Dialogue {
  const asked = [...dialogue.asked.filter((each) => each !== id), id];
  const { file, mended } = init;
  const isDamaged = file?.damaged.some(({ key }) => key === id) && !mended.includes(id);
  const next = isDamaged ? { ...init, mended: [...mended, id] } : init;
  return { ...dialogue, init: next, asked, doubted: null };
}

function say(dialogue: Dialogue, ...said: readonly Said[]): Answered {
  return { dialogue, said };
}
