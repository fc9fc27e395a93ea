import { contradicted, type Doubt, doubtOf, type EarlierReading } from '../sheet/doubt.js';
import { type Entry, readEntry } from '../sheet/entry.js';
import type { Place } from '../sheet/places.js';
import type { Entering } from './enter.js';
import { blanksLeft, nextPlace } from './enter-order.js';
import { type Command, readCommand } from './enter-words.js';

/** Where a session of entering stands. */
export interface Dialogue {
  readonly places: readonly Place[];
  /** One a place. */
  readonly entries: readonly (Entry | null)[];
  /** The place asked for; null when there is none left to ask for. */
  readonly at: number | null;
  /** How often each place was skipped. */
  readonly skips: readonly number[];
  /** A reading that disagrees, until its owner says what becomes of it. */
  readonly question: Question | null;
  /** Readings already told to be contradicted by later ones. */
  readonly told: readonly number[];
}

export interface Question {
  readonly entry: Entry;
  readonly doubt: Doubt;
}

/** What is to be told after an answer. */
export type Said =
  | { readonly kind: 'accepted'; readonly index: number; readonly entry: Entry }
  | { readonly kind: 'cleared'; readonly index: number }
  | { readonly kind: 'skipped' }
  | { readonly kind: 'questioned'; readonly doubt: Doubt; readonly isWaiting: boolean }
  | { readonly kind: 'contradicted'; readonly earlier: EarlierReading }
  | { readonly kind: 'dropped'; readonly entry: Entry }
  | { readonly kind: 'problem'; readonly text: string }
  | { readonly kind: 'help' };

export interface Step {
  readonly dialogue: Dialogue;
  readonly said: readonly Said[];
  /** Whether its owner wants to stop here. */
  readonly stops: boolean;
}

/** A session at the first blank place of a sheet; at the last place where none is blank. */
export function startDialogue({ sheet }: Entering): Dialogue {
  const places = sheet.rows.map(({ place }) => place);
  const entries = sheet.rows.map(({ entry }) => entry);
  const skips = places.map(() => 0);
  const first = nextPlace(entries, skips, -1) ?? places.length - 1;
  return { places, entries, at: first, skips, question: null, told: [] };
}

/**
 * What a typed line comes to.
 *
 * @param isWatched whether whoever typed it can answer a question: not where further lines were typed
 *   already, or come from a pipe. A reading that disagrees is then kept, and told, and the next line
 *   is that of the next place.
 */
export function answer(
  entering: Entering,
  dialogue: Dialogue,
  line: string,
  isWatched: boolean,
): Step {
  const command = readCommand(line);
  if (command) return carryOut(entering, dialogue, command);
  if (line.trim() === '') return leaveAsIs(dialogue);
  const reading = readEntry(line, entering.unit);
  if (!reading.ok) return say(dialogue, { kind: 'problem', text: reading.problem });
  const { question } = dialogue;
  const entry: Entry = { thickness: reading.thickness, cell: reading.cell, isKept: false };
  if (question && isSameAgain(question, entry)) {
    return accept(entering, dialogue, { ...entry, isKept: true });
  }
  const { machine, noise } = entering;
  const { places, entries, at } = dialogue;
  const doubt = doubtOf(machine, noise, places, entries, at!, entry.thickness);
  if (!doubt) return accept(entering, dialogue, entry);
  if (isWatched) {
    const asked = { ...dialogue, question: { entry, doubt } };
    return say(asked, { kind: 'questioned', doubt, isWaiting: true });
  }
  const kept = accept(entering, dialogue, { ...entry, isKept: true });
  return { ...kept, said: [{ kind: 'questioned', doubt, isWaiting: false }, ...kept.said] };
}

function say(dialogue: Dialogue, ...said: readonly Said[]): Step {
  return { dialogue, said, stops: false };
}

/** Two readings of one place, each with its own noise, differ by this many of one's sd at most. */
const ALIKE = 3 * Math.SQRT2;

/** The same once more, typed or measured: then it was no slip of the eye. */
function isSameAgain({ entry, doubt }: Question, again: Entry): boolean {
  return Math.abs(again.thickness - entry.thickness) <= ALIKE * doubt.readingSd;
}

/** An empty line leaves a place that has its reading, and answers nothing else. */
function leaveAsIs(dialogue: Dialogue): Step {
  const { question, entries, skips, at } = dialogue;
  if (question) {
    const text = 'type keep to keep it, or measure again and type what you read';
    return say(dialogue, { kind: 'problem', text });
  }
  if (entries[at!]) return say({ ...dialogue, at: nextPlace(entries, skips, at!) });
  return say(dialogue, { kind: 'problem', text: 'type a thickness, or skip to leave it blank' });
}

function carryOut(entering: Entering, dialogue: Dialogue, command: Command): Step {
  const { question, at } = dialogue;
  switch (command.word) {
    case 'help':
      return say(dialogue, { kind: 'help' });
    case 'stop':
      return { dialogue: withoutQuestion(dialogue), said: dropped(dialogue), stops: true };
    case 'keep':
      if (question) return accept(entering, dialogue, { ...question.entry, isKept: true });
      return say(dialogue, { kind: 'problem', text: 'nothing is questioned here' });
    case 'skip':
      return skip(dialogue);
    case 'clear':
      return clear(dialogue);
    case 'back':
      if (question) return say(withoutQuestion(dialogue), ...dropped(dialogue));
      if (at === 0) return say(dialogue, { kind: 'problem', text: 'this is the first place' });
      return say({ ...dialogue, at: at! - 1 });
    case 'go':
      return go(dialogue, command.to);
  }
}

function withoutQuestion(dialogue: Dialogue): Dialogue {
  return { ...dialogue, question: null };
}

/** A questioned reading that nobody decided on is not saved, which has to be said. */
function dropped({ question }: Dialogue): Said[] {
  return question ? [{ kind: 'dropped', entry: question.entry }] : [];
}

function skip(dialogue: Dialogue): Step {
  const { entries, at } = dialogue;
  const skips = dialogue.skips.map((times, i) => (i === at ? times + 1 : times));
  const next = { ...withoutQuestion(dialogue), skips, at: nextPlace(entries, skips, at!) };
  const blank: Said[] = entries[at!] ? [] : [{ kind: 'skipped' }];
  return say(next, ...dropped(dialogue), ...blank);
}

function clear(dialogue: Dialogue): Step {
  const { at, entries } = dialogue;
  if (dialogue.question) return say(withoutQuestion(dialogue), ...dropped(dialogue));
  if (!entries[at!]) return say(dialogue, { kind: 'problem', text: 'this place is blank already' });
  const rest = entries.map((entry, i) => (i === at ? null : entry));
  return say({ ...dialogue, entries: rest }, { kind: 'cleared', index: at! });
}

/** To a place by its number, or to the first of a board. */
function go(dialogue: Dialogue, to: string): Step {
  const { places } = dialogue;
  const board = places.findIndex((place) => place.board.toLowerCase() === to.toLowerCase());
  const number = /^\d+$/.test(to) ? Number(to) - 1 : -1;
  const at = board >= 0 ? board : number;
  if (!places[at]) {
    const boards = [...new Set(places.map((place) => place.board))].join(', ');
    const text = `there is no place "${to}": type go and 1 to ${places.length}, or a board: ${boards}`;
    return say(dialogue, { kind: 'problem', text });
  }
  return say({ ...withoutQuestion(dialogue), at }, ...dropped(dialogue));
}

function accept(entering: Entering, dialogue: Dialogue, entry: Entry): Step {
  const { places, at, skips } = dialogue;
  const entries = dialogue.entries.map((before, i) => (i === at ? entry : before));
  const told = dialogue.told.filter((index) => index !== at);
  const next = nextPlace(entries, skips, at!);
  const accepted = { ...dialogue, entries, told, at: next, question: null };
  const said: Said[] = [{ kind: 'accepted', index: at!, entry }];
  // Once a board is measured, and before it is laid aside.
  const isBoardDone = next === null || places[next]!.board !== places[at!]!.board;
  if (!isBoardDone) return say(accepted, ...said);
  const strays = contradicted(entering.machine, entering.noise, places, entries).filter(
    ({ index }) => !told.includes(index),
  );
  return say(
    { ...accepted, told: [...told, ...strays.map(({ index }) => index)] },
    ...said,
    ...strays.map((earlier): Said => ({ kind: 'contradicted', earlier })),
  );
}

/** How far a session is. */
export function progressOf({ entries }: Dialogue): {
  readonly entered: number;
  readonly blank: number;
} {
  const blank = blanksLeft(entries);
  return { entered: entries.length - blank, blank };
}
