import { decode } from '../machine/decode.js';
import type { Machine } from '../machine/machine.js';
import { type Problem, toNotice } from '../machine/problem.js';
import { checkDocument, readMachine } from '../machine/read-machine.js';
import type { TomlDocument } from '../machine/toml.js';
import { answersOf } from '../machine/write-answers.js';
import { checkAnswers, checkSoFar } from '../machine/write-check.js';
import { changedKeys, corrected } from '../machine/write-corrected.js';
import { withKey } from '../machine/write-edit.js';
import { type Answers, commentedFile, unitOf } from '../machine/write-file.js';
import { literalOf } from '../machine/write-forms.js';
import { QUESTIONS, type Question } from '../machine/write-questions.js';
import { type DamagedLine, salvaged } from '../machine/write-salvage.js';
import { hasErrors, type Notice } from '../notices/notice.js';
import { answersWith } from './init-answers.js';
import { missingNotices, optionNotice } from './init-notices.js';
import { errorsOf, fits, type Stranger } from './init-steps.js';
import type { SourceFile } from './source.js';

/** A machine file that is being written. */
export interface Init {
  readonly answers: Answers;
  /** Options as they were typed, by the keys of their questions. */
  readonly given: ReadonlyMap<string, string>;
  /** The file that is being corrected. */
  readonly file: ExistingFile | null;
  /** Keys of the existing file, none of ours, that are to become comments. */
  readonly takenOut: readonly Stranger[];
  /** Keys of damaged lines about which their owner was asked. */
  readonly mended: readonly string[];
}

export interface ExistingFile {
  readonly name: string;
  readonly text: string;
  readonly document: TomlDocument;
  readonly answers: Answers;
  readonly problems: readonly Problem[];
  readonly strangers: readonly Stranger[];
  /** Lines that were no TOML, and are comments now. */
  readonly damaged: readonly DamagedLine[];
}

/** What writing came to: nothing where there are errors. */
export interface Finished {
  readonly text: string | null;
  readonly machine: Machine | null;
  readonly notices: readonly Notice[];
}

/**
 * Begins a machine file with what options answer and an existing file holds. Answers that cannot be are
 * errors; those that are missing are not.
 *
 * @param options what was typed behind options, by their names
 * @param source the file to correct
 */
export async function startInit(
  options: Readonly<Record<string, string>>,
  source: SourceFile | null,
): Promise<{ readonly init: Init | null; readonly notices: readonly Notice[] }> {
  const existing = source ? await openFile(source) : null;
  if (existing && 'severity' in existing) return { init: null, notices: [existing] };
  const given = new Map(
    QUESTIONS.flatMap(({ key, option }) =>
      options[option] === undefined ? [] : [[key, options[option]] as const],
    ),
  );
  const unclear: Notice[] = [];
  let answers: Answers = existing?.answers ?? new Map();
  for (const [key, typed] of given) {
    const question = QUESTIONS.find((each) => each.key === key)!;
    const written = isLeftOut(typed) ? { literal: null } : literalOf(question, typed);
    if ('problem' in written) {
      const { problem, expected } = written;
      unclear.push(optionNotice(question, typed, { message: problem, expected }, unitOf(answers)));
    } else answers = answersWith(answers, question, written.literal, [...given.keys()]).answers;
  }
  const init: Init = { answers, given, file: existing, takenOut: [], mended: [] };
  const notices = [...unclear, ...(await givenNotices(init))];
  return { init: hasErrors(notices) ? null : init, notices };
}

/** A dash leaves a key out. */
export function isLeftOut(typed: string): boolean {
  return /^[-\u2012-\u2014\u2212]$/.test(typed.trim());
}

async function openFile(source: SourceFile): Promise<ExistingFile | Notice> {
  const { name, content } = source;
  const decoded = decode(content);
  const whole = 'text' in decoded ? salvaged(decoded.text) : null;
  if (!whole) {
    const [refusal] = (await readMachine(source)).notices;
    return { ...refusal!, hint: [refusal!.hint, BY_HAND].filter(Boolean).join(' ') };
  }
  const { text, document, damaged } = whole;
  const { problems } = await checkDocument(document);
  const shapeless = problems.find(isOfTable);
  if (shapeless) return { ...toNotice(shapeless, document, name), hint: BY_HAND };
  const strangers = problems
    .filter(({ code, path }) => code === 'unknown-key' && path.every(isText))
    .map(({ path, hint = '' }) => ({
      path: path.map(String),
      hint,
      line: document.keyPlace(path).line,
    }));
  return { name, text, document, answers: answersOf(document), problems, strangers, damaged };
}

const BY_HAND = 'Mend this by hand first: what cannot be read cannot be corrected here.';

/** Something else where a table of keys has to be: there is no place to put a correction. */
function isOfTable({ code, path }: Problem): boolean {
  const above = `${path.join('.')}.`;
  return code === 'bad-value' && QUESTIONS.some(({ key }) => key.startsWith(above));
}

function isText(part: string | number): boolean {
  return typeof part === 'string';
}

/** What is wrong with the answers that options gave. */
async function givenNotices({ answers, given }: Init): Promise<Notice[]> {
  const check = await checkSoFar(answers);
  return QUESTIONS.flatMap((question) => {
    const typed = given.get(question.key);
    if (typed === undefined || !answers.has(question.key)) return [];
    return errorsOf(check, question).map((problem) =>
      optionNotice(question, typed, problem, unitOf(answers), check.document),
    );
  });
}

/** Every answer that is still missing, and every error that the existing file still has. */
export async function openNotices(init: Init): Promise<Notice[]> {
  const { answers, given, file, takenOut, mended } = init;
  const check = await checkAnswers(answers);
  const wrong = file
    ? QUESTIONS.filter(({ key }) => !given.has(key)).flatMap((question) =>
        errorsOf(check, question).map((problem) =>
          withOption(toNotice(problem, file.document, file.name), question),
        ),
      )
    : [];
  const strangers = (file?.problems ?? []).filter(
    ({ code, path }) =>
      code === 'unknown-key' && !takenOut.some((each) => each.path.join('.') === path.join('.')),
  );
  const strange = strangers.map((problem) => toNotice(problem, file!.document, file!.name));
  const damaged = (file?.damaged ?? []).filter(
    ({ key }) => !given.has(key) && !mended.includes(key),
  );
  const unread = damaged.map((line) => damageNotice(line, file!.name));
  return [...unread, ...strange, ...wrong, ...missingNotices(check, unitOf(answers))];
}

function damageNotice({ key, place, problem, written }: DamagedLine, file: string): Notice {
  const { option } = QUESTIONS.find((question) => question.key === key)!;
  return {
    code: 'toml-syntax',
    severity: 'error',
    message: `not valid TOML: ${problem}`,
    file,
    ...place,
    found: written,
    hint: `give --${option}, or correct the line`,
  };
}

function withOption(notice: Notice, { option }: Question): Notice {
  return { ...notice, hint: `give --${option}, or correct the file. ${notice.hint ?? ''}`.trim() };
}

/** The text of the file, read back as every other machine file is. */
export async function finishInit(init: Init, name: string): Promise<Finished> {
  const text = await textOf(init);
  if (text === null) return { text, machine: null, notices: [cannotCorrect(init.file!.name)] };
  const { machine, notices } = await readMachine({ name, content: new TextEncoder().encode(text) });
  return { text: machine ? text : null, machine, notices };
}

async function textOf({ answers, file, takenOut }: Init): Promise<string | null> {
  if (file) {
    const text = takenOut.reduce((before, { path }) => withKey(before, path, null), file.text);
    return corrected(text, file.answers, answers);
  }
  const { machine } = await checkAnswers(answers);
  const taken = new Map(machine?.assumed.map(({ key, value }) => [key, value]));
  return commentedFile(answers, openKeys(answers), taken);
}

/** What a key of an existing file was and is now, as TOML writes it; null where it is not there. */
export interface InitChange {
  readonly key: string;
  readonly before: string | null;
  readonly after: string | null;
}

export function changesOf({ answers, file, takenOut }: Init): InitChange[] {
  const before = file?.answers ?? new Map<string, string>();
  const strange = takenOut.map(({ path }) => ({
    key: path.join('.'),
    before: 'there',
    after: null,
  }));
  const changed = changedKeys(before, answers).map((key) => ({
    key,
    before: before.get(key) ?? null,
    after: answers.get(key) ?? null,
  }));
  return [...strange, ...changed];
}

/** Keys that are not answered and might be, apart from the rarely needed. */
function openKeys(answers: Answers): string[] {
  const groups = QUESTIONS.filter(({ key }) => answers.has(key)).map(({ group }) => group);
  const open = QUESTIONS.filter(
    (question) =>
      !answers.has(question.key) &&
      fits(question, answers) &&
      (question.group === undefined || groups.includes(question.group)),
  );
  return open.map(({ key }) => key);
}

function cannotCorrect(file: string): Notice {
  return {
    code: 'cannot-correct',
    severity: 'error',
    message: 'this file is laid out so that it cannot be corrected in place',
    file,
    hint: 'change it by hand, or write a new one without --from',
  };
}
