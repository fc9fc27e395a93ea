import type { Notice } from '../notices/notice.js';
import type { InitChange } from '../pipeline/init.js';
import type { Asking, Said } from '../pipeline/init-dialogue.js';
import type { Fault } from '../pipeline/init-faults.js';
import { sentence, wrap } from '../report/text/layout.js';
import { noticeLine } from '../report/text/notice-line.js';
import { shellWord } from './shell-word.js';

/** The prompts' guide, which takes the first columns of a line. */
const GUIDE = '   ';

function lines(text: string): string[] {
  return wrap(text, GUIDE).map((line) => line.slice(GUIDE.length));
}

/** What to know before the first question. */
export function openingLines(from: string | null, target: string): string[] {
  const what =
    from === null
      ? 'Questions about your machine, one at a time.'
      : `Questions about the machine of ${from}: what is wrong in it first, then the rest.`;
  const where = target === '-' ? 'printed' : `written to ${target}`;
  return [
    ...lines(what),
    '',
    'Type an answer and press Enter.',
    '  <       goes back one question, as often as you like',
    '  Enter   alone passes over what may stay open, or keeps what stands there',
    '  -       leaves out what was answered before',
    '  Ctrl-C  leaves, and nothing is written',
    '',
    ...lines(`At the end you see the file. It is ${where} when you say yes, not before.`),
  ];
}

/** The heading of a question. */
export function headingOf(asking: Asking): string {
  if (asking.kind === 'question') {
    const { section, question } = asking;
    return section === question.title ? section : `${section} · ${question.title}`;
  }
  if (asking.kind === 'group') return asking.group.title;
  return `Line ${asking.stranger.line} of the file`;
}

/** A question with all that helps to answer it. */
export function askedLines(asking: Asking): string[] {
  if (asking.kind === 'group') return [asking.group.ask, asking.group.why].flatMap(lines);
  if (asking.kind === 'stranger') {
    const { path, hint } = asking.stranger;
    return lines(
      `${path.join('.')} is not a key known here. ${hint} Taken out, it stays in the file as a comment.`,
    );
  }
  const { question, unit, how, current, isKept, isRequired, taken, faults } = asking;
  const enter =
    current !== null
      ? [`Now: ${current}. ${isKept ? 'Enter keeps it.' : isRequired ? '' : '- leaves it out.'}`]
      : isRequired
        ? []
        : [`Enter passes it over${taken === null ? '' : `: ${inUnit(taken, unit)}`}.`];
  return [
    ...lines(`${sentence(question.what)}.`),
    ...lines(how),
    ...lines(
      `Typical${isLength(question) ? `, in ${unitWord(unit)}` : ''}: ${question.typical[unit]}`,
    ),
    ...lines(`Why: ${question.why}`),
    ...(question.caution === undefined ? [] : lines(`Caution: ${sentence(question.caution)}`)),
    ...faults.flatMap((fault) => lines(`Wrong: ${faultWords(question.title, fault)}`)),
    ...enter.flatMap(lines),
  ];
}

/** Values that are taken are told in mm; who works in inches sees them in inches too. */
function inUnit(words: string, unit: 'mm' | 'in'): string {
  if (unit === 'mm') return words;
  return words.replace(/([\d.]+) mm/g, (mm, size: string) => {
    return `${mm} (${Number((Number(size) / 25.4).toPrecision(2))} in)`;
  });
}

/** What stands beside the place where an answer is typed. */
export function promptOf(asking: Asking, isDoubted: boolean): string {
  if (asking.kind === 'group') {
    return `yes or no (Enter: ${asking.isWanted ? 'yes' : 'no'})`;
  }
  if (asking.kind === 'stranger') {
    return 'Take it out? yes or no (Enter: yes)';
  }
  const { question, unit } = asking;
  const inUnits = isLength(question) ? `, ${unitWord(unit)}` : '';
  return `${question.title}${inUnits}${isDoubted ? ' (Enter keeps it)' : ''}`;
}

function isLength({ form }: { readonly form: string }): boolean {
  return ['length', 'lengths', 'repeatability', 'stock'].includes(form);
}

function unitWord(unit: 'mm' | 'in'): string {
  return unit === 'mm' ? 'mm' : 'inches';
}

/** What an answer brought about. */
export function saidLines(said: Said, asking: Asking): string[] {
  const title = asking.kind === 'question' ? asking.question.title : 'The answer';
  switch (said.kind) {
    case 'wrong':
      return [
        ...said.faults.flatMap((fault) => lines(faultWords(title, fault))),
        ...(asking.kind === 'question' && asking.question.form !== 'text'
          ? lines(`For example: ${asking.question.typical[asking.unit]}`)
          : []),
      ];
    case 'doubted':
      return said.faults.flatMap((fault) =>
        lines(`${faultWords(title, fault)} Enter keeps it, or type another.`),
      );
    case 'needed':
      return lines('This one is needed: no result without it.');
    case 'at-first':
      return lines('This is the first question.');
    case 'stays-unreadable':
      return lines('With that key in it the file cannot be read. Ctrl-C leaves it as it is.');
    case 'taken-as':
      return lines(`Taken as: ${said.typed}`);
    case 'dropped':
      return lines(`Left out now: ${titles(said.questions)}.`);
    case 'pinned':
      return lines(
        `Lengths that were given without a unit stay what they were, in ${said.unit}: ${titles(said.questions)}.`,
      );
  }
}

function titles(questions: readonly { readonly title: string }[]): string {
  return questions.map(({ title }) => title).join(', ');
}

function faultWords(title: string, { problem, found, expected, hint }: Fault): string {
  const detail = [
    found === null ? '' : `found ${found}`,
    expected === null ? '' : `expected ${expected}`,
  ].filter((part) => part !== '');
  const brackets = detail.length === 0 ? '' : ` (${detail.join('; ')})`;
  return `${title} ${problem}${brackets}.${hint === undefined ? '' : ` ${hint}`}`;
}

/** Notices where prompts are. */
export function noticeLines(notices: readonly Notice[]): string[] {
  return notices.flatMap((notice) => lines(noticeLine(notice)));
}

/** What a corrected file has that it had not before. */
export function changeLines(changes: readonly InitChange[]): string[] {
  if (changes.length === 0) return ['Nothing has changed.'];
  return [
    'Changed:',
    ...changes.flatMap(({ key, before, after }) =>
      lines(`${key}: ${before ?? 'not there'} → ${after ?? 'left out'}`),
    ),
  ];
}

/** The last question. */
export function fileQuestion(target: string, isThere: boolean): string {
  if (target === '-') return 'Print it? (yes or no; Enter: yes)';
  if (!isThere) return `Write it to ${target}? (yes, no, or another name; Enter: yes)`;
  return `${target} is there already. Replace it? (yes, no, or another name)`;
}

/** What comes after a file is written. */
export function nextLines(file: string): string[] {
  const name = shellWord(file);
  return [
    `written: ${file}`,
    `next: proofboard read ${name}   shows what was understood`,
    `      proofboard plan ${name}   says which boards to cut`,
  ];
}
