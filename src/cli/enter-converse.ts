import type { Notice } from '../notices/notice.js';
import { type Entering, sheetText } from '../pipeline/enter.js';
import { answer, type Dialogue, type Step, startDialogue } from '../pipeline/enter-dialogue.js';
import {
  boardLines,
  closingLines,
  type Ending,
  type EnterText,
  openingLines,
  promptText,
  saidLines,
} from '../report/text/enter-text.js';
import type { EnterFile } from './enter-file.js';
import { EnterLines } from './enter-lines.js';
import { EXIT } from './exit-codes.js';
import { tellNotices } from './tell.js';

/**
 * Asks for one place after another until all have been asked for or its owner stops. A reading is on
 * disk before the next prompt is shown.
 */
export async function converse(
  file: EnterFile,
  entering: Entering,
  text: EnterText,
): Promise<number> {
  const lines = new EnterLines();
  try {
    const start = startDialogue(entering);
    lines.show(openingLines(start, text));
    // A pipe cannot look through what is entered already.
    const isOver = start.at === null && !lines.isWatched;
    const { dialogue, ending } = isOver
      ? { dialogue: start, ending: 'stopped' as const }
      : await ask(lines, file, entering, start, text);
    lines.show(closingLines(dialogue, ending, text));
    tellNotices(leftOver(await lines.leftOver()));
    return exitOf(dialogue, ending);
  } finally {
    lines.close();
  }
}

interface Ended {
  readonly dialogue: Dialogue;
  readonly ending: Ending;
}

async function ask(
  lines: EnterLines,
  file: EnterFile,
  entering: Entering,
  start: Dialogue,
  text: EnterText,
): Promise<Ended> {
  let dialogue = start;
  const begun = new Begun();
  for (;;) {
    lines.show(begun.lines(dialogue, text));
    const typed = await lines.next(promptText(dialogue, text));
    const line = typed.kind === 'line' ? typed.text : 'stop';
    const isWatched = lines.isWatched && !(await lines.hasMore());
    const step = answer(entering, dialogue, line, isWatched);
    const failed = await keep(file, entering, dialogue, step);
    if (failed.length > 0) {
      lines.show(['']);
      tellNotices(failed);
      return { dialogue, ending: 'unsaved' };
    }
    if (typed.kind !== 'line') lines.show(['']);
    lines.show(step.said.flatMap((said) => saidLines(said, line, text)));
    if (step.said.some(({ kind }) => kind === 'questioned')) lines.ring();
    const isDone = dialogue.at !== null && step.dialogue.at === null;
    dialogue = step.dialogue;
    if (typed.kind !== 'line') return { dialogue, ending: typed.kind };
    if (step.stops || isDone) return { dialogue, ending: 'stopped' };
  }
}

/** Which board was spoken of last, and whether hands were warned. */
class Begun {
  private board: string | null = null;
  private isWarned = false;

  lines(dialogue: Dialogue, text: EnterText): string[] {
    const place = dialogue.at === null ? null : dialogue.places[dialogue.at]!;
    if (!place || place.board === this.board) return [];
    const isFirstByHand = place.cut === 'hand' && !this.isWarned;
    this.board = place.board;
    this.isWarned ||= isFirstByHand;
    return boardLines(dialogue, isFirstByHand, text);
  }
}

async function keep(
  file: EnterFile,
  entering: Entering,
  { entries }: Dialogue,
  { dialogue }: Step,
): Promise<readonly Notice[]> {
  if (dialogue.entries === entries) return [];
  const failed = await file.save(sheetText(entering, dialogue.entries));
  return failed.map((notice) => ({
    ...notice,
    message: `${notice.message}; what was typed last is not saved`,
  }));
}

/** More lines than places: whoever sent them has counted otherwise. */
function leftOver(rest: readonly string[]): Notice[] {
  if (rest.length === 0) return [];
  return [
    {
      code: 'lines-left-over',
      severity: 'warning',
      message: `${rest.length} more ${rest.length === 1 ? 'line was' : 'lines were'} typed than asked for`,
      found: rest.slice(0, 5).join(' | '),
      hint: 'check that every reading stands at its place',
    },
  ];
}

function exitOf({ entries }: Dialogue, ending: Ending): number {
  if (ending === 'unsaved') return EXIT.badInput;
  if (ending === 'interrupted') return EXIT.interrupted;
  return entries.some((entry) => entry === null) ? EXIT.undecided : EXIT.done;
}
