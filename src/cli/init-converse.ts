import { stat } from 'node:fs/promises';
import { isCancel, log, settings, text, updateSettings } from '@clack/prompts';
import type { Notice } from '../notices/notice.js';
import { changesOf, finishInit, type Init, openNotices } from '../pipeline/init.js';
import {
  answerStep,
  askingOf,
  type Dialogue,
  nextStep,
  type Said,
  startDialogue,
  stepBack,
  yesOrNo,
} from '../pipeline/init-dialogue.js';
import { EXIT } from './exit-codes.js';
import { writeWhole } from './files.js';
import { Keys } from './init-keys.js';
import {
  askedLines,
  changeLines,
  fileQuestion,
  headingOf,
  noticeLines,
  openingLines,
  promptOf,
  saidLines,
} from './init-words.js';

interface Goal {
  /** Where the file is to go; `-` is standard output. */
  readonly target: string;
  /** Whether a file that is there may be overwritten without being asked. */
  readonly force: boolean;
}

/** A file that was written, or the exit code of a dialogue that ended without one. */
export type Ended =
  | { readonly text: string; readonly target: string; readonly notices: readonly Notice[] }
  | { readonly code: number };

/**
 * Asks question by question in the terminal. Nothing is on disk before the whole file was shown and its
 * owner said yes.
 */
export async function converse(init: Init, goal: Goal): Promise<Ended> {
  heedKeys();
  process.prependOnceListener('SIGINT', () => tell([INTERRUPTED]));
  const keys = new Keys();
  try {
    tell(openingLines(init.file?.name ?? null, goal.target));
    return await ask(keys, startDialogue(init), goal);
  } finally {
    keys.close();
  }
}

const INTERRUPTED = 'Interrupted: nothing was written.';

async function ask(keys: Keys, start: Dialogue, goal: Goal): Promise<Ended> {
  let dialogue = start;
  for (;;) {
    const answered = await askNext(keys, dialogue);
    if (answered === 'interrupted') return leave(INTERRUPTED);
    if (answered !== 'complete') {
      dialogue = answered;
      continue;
    }
    const ended = await conclude(keys, dialogue, goal);
    if (ended !== 'back') return ended;
    dialogue = stepBack(dialogue).dialogue;
  }
}

/** Escape alone would throw every answer away; the end of input is the end. */
function heedKeys(): void {
  settings.aliases.delete('escape');
  updateSettings({ aliases: { '\u0004': 'cancel' } });
}

async function askNext(
  keys: Keys,
  dialogue: Dialogue,
): Promise<Dialogue | 'complete' | 'interrupted'> {
  const step = await nextStep(dialogue);
  if (step === null) return 'complete';
  const asking = await askingOf(step, dialogue);
  tell(askedLines(asking), headingOf(asking));
  let now = dialogue;
  for (;;) {
    const line = await lineFrom(keys, promptOf(asking, now.doubted !== null));
    if (line === null) return 'interrupted';
    const { dialogue: next, said } = await answerStep(now, step, line);
    for (const each of said) MARKED[each.kind](saidLines(each, asking));
    now = next;
    const isSettled = next.asked !== dialogue.asked;
    if (isSettled) return next;
  }
}

/** Shows the file and writes it where its owner says so. */
async function conclude(keys: Keys, dialogue: Dialogue, goal: Goal): Promise<Ended | 'back'> {
  const { init } = dialogue;
  const open = await openNotices(init);
  const finished = open.length > 0 ? null : await finishInit(init, goal.target);
  if (!finished || finished.text === null) {
    tell(noticeLines([...open, ...(finished?.notices ?? [])]));
    return { code: EXIT.badInput };
  }
  const { text: file, notices } = finished;
  tell(['The file:']);
  process.stderr.write(`\n${file}`);
  if (init.file) tell(changeLines(changesOf(init)));
  if (notices.length > 0) tell(noticeLines(notices));
  let { target } = goal;
  for (;;) {
    const isThere = !goal.force && (await exists(target));
    const line = await lineFrom(keys, fileQuestion(target, isThere));
    if (line === null) return leave(INTERRUPTED);
    const typed = line.trim();
    if (/^(<|back)$/i.test(typed)) return 'back';
    const isYes = typed === '' && !isThere ? true : yesOrNo(typed);
    if (isYes === false) return leave('Nothing was written.');
    if (isYes) {
      const failed = target === '-' ? [] : await writeWhole(target, file, isThere || goal.force);
      if (failed.length === 0) return { text: file, target, notices };
      tell(noticeLines(failed));
    } else if (typed !== '') target = typed;
  }
}

async function exists(target: string): Promise<boolean> {
  if (target === '-') return false;
  return stat(target).then(
    () => true,
    () => false,
  );
}

/** One typed line; null where its owner wants to leave. */
async function lineFrom(keys: Keys, message: string): Promise<string | null> {
  const typing = text({ message, input: keys.input, output: process.stderr });
  keys.ask();
  const typed = await typing;
  return isCancel(typed) ? null : (typed ?? '');
}

function tell(lines: readonly string[], heading?: string): void {
  const all = heading === undefined ? lines : [heading, ...lines];
  log.message([...all], { output: process.stderr });
}

const stderr = { output: process.stderr };

/** A sign at the first line says of what kind the words are; they say it too. */
const MARKED: Readonly<Record<Said['kind'], (lines: string[]) => void>> = {
  wrong: (lines) => log.error(lines.join('\n'), stderr),
  doubted: (lines) => log.warn(lines.join('\n'), stderr),
  needed: (lines) => log.error(lines.join('\n'), stderr),
  'at-first': tell,
  'stays-unreadable': (lines) => log.error(lines.join('\n'), stderr),
  'taken-as': tell,
  dropped: (lines) => log.warn(lines.join('\n'), stderr),
  pinned: (lines) => log.warn(lines.join('\n'), stderr),
};

function leave(words: string): Ended {
  tell([words]);
  return { code: EXIT.interrupted };
}
