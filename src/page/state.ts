import type { SheetData } from '../report/html/sheet-data.js';
import { contradicted, type Doubt, doubtOf } from '../sheet/doubt.js';
import { type Entry, readEntry } from '../sheet/entry.js';

/** A thickness that was typed, before it is taken. */
export interface Typed {
  /** mm */
  readonly thickness: number;
  readonly cell: string;
}

/** Where somebody is on a sheet. Never changed, always made anew. */
export interface SheetState {
  /** One a place; null where nothing is measured. */
  readonly entries: readonly (Entry | null)[];
  /** The place to be measured now; the number of places when none is left. */
  readonly at: number;
  /** A reading that disagrees with the others and waits for an answer. */
  readonly questioned: Typed | null;
  /** Tries in the present scoop, of which the smallest will count. */
  readonly tries: readonly Typed[];
  readonly takesTries: boolean;
}

/** What came of something typed or pressed, for people to be told. */
export type Outcome =
  | { readonly kind: 'moved' }
  | { readonly kind: 'taken'; readonly index: number; readonly cell: string }
  | { readonly kind: 'tried'; readonly cell: string; readonly count: number }
  | { readonly kind: 'questioned'; readonly doubt: Doubt; readonly before: Typed | null }
  | { readonly kind: 'refused'; readonly problem: string }
  | { readonly kind: 'nothing-typed' }
  | { readonly kind: 'only-one-left' };

export interface Step {
  readonly state: SheetState;
  readonly outcome: Outcome;
}

/** So many tries are taken in a scoop. */
export const TRIES = 3;

/** A sheet on which nothing is measured. */
export function freshState({ places }: SheetData): SheetState {
  return {
    entries: places.map(() => null),
    at: 0,
    questioned: null,
    tries: [],
    takesTries: false,
  };
}

/**
 * Takes what was typed for the present place, or says why not. Of a scoop in several tries the
 * smallest is taken with the last. A reading that disagrees with the others is questioned: it is
 * taken only when `keep` says so.
 */
export function type(sheet: SheetData, state: SheetState, text: string): Step {
  if (isFinished(state)) return { state, outcome: { kind: 'nothing-typed' } };
  // A caliper that ends a reading with two line ends must not answer anything by the second.
  if (text.trim() === '') return { state, outcome: { kind: 'nothing-typed' } };
  const reading = readEntry(text, sheet.unit);
  if (!reading.ok) return { state, outcome: { kind: 'refused', problem: reading.problem } };
  const { thickness, cell } = reading;
  if (!isTried(sheet, state)) return weigh(sheet, state, { thickness, cell });
  const tries = [...state.tries, { thickness, cell }];
  const tried: SheetState = { ...state, tries, questioned: null };
  if (tries.length < TRIES) {
    return { state: tried, outcome: { kind: 'tried', cell, count: tries.length } };
  }
  const smallest = tries.reduce((least, each) => (each.thickness < least.thickness ? each : least));
  return weigh(sheet, { ...tried, questioned: state.questioned }, smallest);
}

/** Whether the present place is read in several tries. */
export function isTried({ places }: SheetData, { takesTries, at }: SheetState): boolean {
  return takesTries && places[at]?.cut === 'hand';
}

function weigh(sheet: SheetData, state: SheetState, typed: Typed): Step {
  const doubt = doubtAbout(sheet, state, typed);
  if (!doubt) return take(state, typed, false);
  return {
    state: { ...state, tries: [], questioned: typed },
    outcome: { kind: 'questioned', doubt, before: state.questioned },
  };
}

/** What speaks against a thickness at the present place, by all that was read elsewhere. */
export function doubtAbout(
  { machine, noise, places }: SheetData,
  { entries, at }: SheetState,
  { thickness }: Typed,
): Doubt | null {
  return doubtOf(machine, noise, places, entries, at, thickness);
}

function take(state: SheetState, { thickness, cell }: Typed, isKept: boolean): Step {
  const entries = placed(state, { thickness, cell, isKept });
  const taken: SheetState = { ...state, entries, questioned: null, tries: [] };
  return {
    state: { ...taken, at: nextBlank(entries, state.at) },
    outcome: { kind: 'taken', index: state.at, cell },
  };
}

/** The entries with another one at the present place. */
function placed({ entries, at }: SheetState, entry: Entry | null): (Entry | null)[] {
  return entries.map((each, i) => (i === at ? entry : each));
}

/** The next place without a reading, from the beginning again after the last; past them when none is left. */
function nextBlank(entries: SheetState['entries'], from: number): number {
  const after = entries.findIndex((entry, i) => i > from && entry === null);
  if (after >= 0) return after;
  const first = entries.indexOf(null);
  return first >= 0 ? first : entries.length;
}

/** Where a sheet that was left is taken up again: an open question is asked anew. */
export function resume(sheet: SheetData, state: SheetState): Step {
  const { questioned } = state;
  const doubt = questioned && doubtAbout(sheet, state, questioned);
  if (!doubt) return { state: { ...state, questioned: null }, outcome: { kind: 'moved' } };
  return { state, outcome: { kind: 'questioned', doubt, before: null } };
}

/** Takes the reading in question as it is. */
export function keep(state: SheetState): Step {
  if (!state.questioned) return { state, outcome: { kind: 'moved' } };
  return take(state, state.questioned, true);
}

/** Drops the reading in question, or the tries of the scoop, to be measured again. */
export function again(state: SheetState): Step {
  return { state: { ...state, questioned: null, tries: [] }, outcome: { kind: 'moved' } };
}

/** To any place; the number of places is the end. */
export function jump(state: SheetState, at: number): Step {
  const within = Math.max(0, Math.min(at, state.entries.length));
  return {
    state: { ...state, at: within, questioned: null, tries: [] },
    outcome: { kind: 'moved' },
  };
}

/** To the place before. */
export function back(state: SheetState): Step {
  return jump(state, state.at - 1);
}

/** Leaves the place as it is and goes to the next one without a reading. */
export function skip(state: SheetState): Step {
  const next = nextBlank(state.entries, state.at);
  if (next !== state.at) return jump(state, next);
  return { ...jump(state, next), outcome: { kind: 'only-one-left' } };
}

/** Makes a measured place blank again, to be measured next. */
export function erase(state: SheetState): Step {
  if (isFinished(state)) return { state, outcome: { kind: 'moved' } };
  return jump({ ...state, entries: placed(state, null) }, state.at);
}

/** Whether scoops are read in several tries from now on. */
export function takeTries(state: SheetState, takesTries: boolean): Step {
  return { state: { ...state, takesTries, tries: [] }, outcome: { kind: 'moved' } };
}

export function isFinished({ at, entries }: SheetState): boolean {
  return at >= entries.length;
}

export function countMeasured({ entries }: Pick<SheetState, 'entries'>): number {
  return entries.filter((entry) => entry !== null).length;
}

/**
 * Places whose readings disagree with the others now that these are known: the first ones were taken
 * before there was anything to hold them against. What its owner kept is not asked again.
 */
export function disagreeing(
  { machine, noise, places }: SheetData,
  { entries }: SheetState,
): number[] {
  return contradicted(machine, noise, places, entries).map(({ index }) => index);
}
