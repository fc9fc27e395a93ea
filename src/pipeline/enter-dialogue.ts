import { contradicted, type Doubt, doubtOf, doubtWords, earlierWords } from '../sheet/doubt.js';
import { type Entry, readEntry } from '../sheet/entry.js';
import type { Place } from '../sheet/places.js';
import { spokenIn } from '../units/spoken.js';
import type { Entering } from './enter.js';
import { nextPlace } from './enter-order.js';
import { type Command, readCommand } from './enter-words.js';

/** Where a session of entering stands. */
export interface Dialogue {
  readonly places: readonly Place[];
  /** One a place. */
  readonly entries: readonly (Entry | null)[];
  /** The place asked for; null where no place is left to ask for. */
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
  | { readonly kind: 'questioned'; readonly words: string; readonly isWaiting: boolean }
  | { readonly kind: 'contradicted'; readonly words: string; readonly number: number }
  | { readonly kind: 'dropped'; readonly entry: Entry }
  | { readonly kind: 'problem'; readonly text: string }
  | { readonly kind: 'help' };

export interface Step {
  readonly dialogue: Dialogue;
  readonly said: readonly Said[];
  /** Whether its owner wants to stop here. */
  readonly stops: boolean;
}

/** A session at the first blank place of a sheet. */
export function startDialogue({ sheet }: Entering): Dialogue {
  const places = sheet.rows.map(({ place }) => place);
  const entries = sheet.rows.map(({ entry }) => entry);
  const skips = places.map(() => 0);
  const at = nextPlace(entries, skips, -1);
  return { places, entries, at, skips, question: null, told: [] };
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
  const { at } = dialogue;
  if (line.trim() === '') return leaveAsIs(dialogue);
  const reading = readEntry(line, entering.unit);
  if (!reading.ok) return problem(dialogue, reading.problem);
  if (at === null) return problem(dialogue, ALL_ENTERED);
  const { thickness, cell } = reading;
  return judge(entering, dialogue, at, { thickness, cell, isKept: false }, isWatched);
}

const ALL_ENTERED = 'every place has its reading: type go and the number of the one to change';

/** Takes a reading, or questions it. */
function judge(
  entering: Entering,
  dialogue: Dialogue,
  at: number,
  entry: Entry,
  isWatched: boolean,
): Step {
  const { question, places, entries } = dialogue;
  if (question && isSameAgain(question, entry)) {
    return accept(entering, dialogue, at, { ...entry, isKept: true });
  }
  const { machine, noise, unit } = entering;
  const doubt = doubtOf(machine, noise, places, entries, at, entry.thickness);
  if (!doubt) return accept(entering, dialogue, at, entry);
  const words = doubtWords(doubt, spokenIn(unit));
  const questioned: Said = { kind: 'questioned', words, isWaiting: isWatched };
  if (isWatched) return say({ ...dialogue, question: { entry, doubt } }, questioned);
  const kept = accept(entering, dialogue, at, { ...entry, isKept: true });
  return { ...kept, said: [questioned, ...kept.said] };
}

function problem(dialogue: Dialogue, text: string): Step {
  return say(dialogue, { kind: 'problem', text });
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
  if (at === null) return { dialogue, said: [], stops: true };
  if (question) {
    return problem(dialogue, 'type keep to keep it, or measure again and type what you read');
  }
  if (entries[at]) return say({ ...dialogue, at: nextPlace(entries, skips, at) });
  return problem(dialogue, 'type a thickness, or skip to leave it blank');
}

function carryOut(entering: Entering, dialogue: Dialogue, command: Command): Step {
  const { question, places, at } = dialogue;
  if (command.word === 'help') return say(dialogue, { kind: 'help' });
  if (command.word === 'stop') {
    return { dialogue: withoutQuestion(dialogue), said: dropped(dialogue), stops: true };
  }
  if (command.word === 'go') return go(dialogue, command.to);
  if (command.word === 'back') {
    if (question) return say(withoutQuestion(dialogue), ...dropped(dialogue));
    if (at === 0) return problem(dialogue, 'this is the first place');
    return say({ ...dialogue, at: (at ?? places.length) - 1 });
  }
  if (at === null) return problem(dialogue, ALL_ENTERED);
  if (command.word === 'skip') return skip(dialogue, at);
  if (command.word === 'clear') return clear(dialogue, at);
  if (!question) return problem(dialogue, 'nothing is questioned here');
  return accept(entering, dialogue, at, { ...question.entry, isKept: true });
}

function withoutQuestion(dialogue: Dialogue): Dialogue {
  return { ...dialogue, question: null };
}

/** A questioned reading that nobody decided on is not saved, which has to be said. */
function dropped({ question }: Dialogue): Said[] {
  return question ? [{ kind: 'dropped', entry: question.entry }] : [];
}

function skip(dialogue: Dialogue, at: number): Step {
  const { entries } = dialogue;
  const skips = dialogue.skips.map((times, i) => (i === at ? times + 1 : times));
  const next = { ...withoutQuestion(dialogue), skips, at: nextPlace(entries, skips, at) };
  const blank: Said[] = entries[at] ? [] : [{ kind: 'skipped' }];
  return say(next, ...dropped(dialogue), ...blank);
}

function clear(dialogue: Dialogue, at: number): Step {
  const { entries, question } = dialogue;
  if (question) return say(withoutQuestion(dialogue), ...dropped(dialogue));
  if (!entries[at]) return problem(dialogue, 'this place is blank already');
  const rest = entries.map((entry, i) => (i === at ? null : entry));
  return say({ ...dialogue, entries: rest }, { kind: 'cleared', index: at });
}

/** To a place by its number, or to the first of a board. */
function go(dialogue: Dialogue, to: string): Step {
  const { places } = dialogue;
  const board = places.findIndex((place) => place.board.toLowerCase() === to.toLowerCase());
  const number = /^\d+$/.test(to) ? Number(to) - 1 : -1;
  const at = board >= 0 ? board : number;
  if (!places[at]) {
    const boards = [...new Set(places.map((place) => place.board))].join(', ');
    return problem(
      dialogue,
      `there is no place "${to}": type go and 1 to ${places.length}, or a board: ${boards}`,
    );
  }
  return say({ ...withoutQuestion(dialogue), at }, ...dropped(dialogue));
}

function accept(entering: Entering, dialogue: Dialogue, at: number, entry: Entry): Step {
  const { places, skips } = dialogue;
  const entries = dialogue.entries.map((before, i) => (i === at ? entry : before));
  const next = nextPlace(entries, skips, at);
  const told = dialogue.told.filter((index) => index !== at);
  const accepted = { ...dialogue, entries, told, at: next, question: null };
  const said: Said = { kind: 'accepted', index: at, entry };
  // Once a board is measured, and before it is laid aside.
  const isBoardDone = next === null || places[next]!.board !== places[at]!.board;
  if (!isBoardDone) return say(accepted, said);
  const { machine, noise, unit } = entering;
  const strays = contradicted(machine, noise, places, entries).filter(
    ({ index }) => !told.includes(index),
  );
  const contradictions = strays.map((earlier): Said => {
    const words = earlierWords(earlier, spokenIn(unit));
    return { kind: 'contradicted', words, number: earlier.index + 1 };
  });
  const toldNow = [...told, ...strays.map(({ index }) => index)];
  return say({ ...accepted, told: toldNow }, said, ...contradictions);
}
