import type { SheetData } from '../report/html/sheet-data.js';
import type { Entry } from '../sheet/entry.js';
import type { Place } from '../sheet/places.js';
import { positionIn } from '../units/position.js';
import { countMeasured, isFinished, type Outcome, type SheetState, TRIES } from './state.js';

/** A place in words, as it is read aloud: `board H1, knife 2, x 40, y 70`. */
export function placeWords({ board, knife, x, y }: Place, unit: SheetData['unit']): string {
  const position = positionIn(unit);
  return `board ${board}, ${knifeWords(knife)}, x ${position(x)}, y ${position(y)}`;
}

function knifeWords(knife: string): string {
  return knife === 'all' ? 'all knives' : `knife ${knife}`;
}

/** Where on a board the jaws belong. */
export function whereTo({ cut }: Place, isTried: boolean): string {
  if (cut === 'full') return 'On the planed face.';
  if (cut === 'proud') return 'On the face that this knife planed alone.';
  return isTried
    ? 'Three tries a little apart along the scoop.'
    : 'At the bottom of the scoop: the smallest reading there.';
}

/** Tries of a scoop so far: `Try 2 of 3; so far 20.06`. */
export function triesWords(cells: readonly string[]): string {
  const next = Math.min(cells.length + 1, TRIES);
  return cells.length === 0
    ? `Try 1 of ${TRIES}`
    : `Try ${next} of ${TRIES}; so far ${cells.join(', ')}`;
}

/** What stands in the list beside a place. */
export function valueWords(entry: Entry): string {
  return entry.isKept ? `${entry.cell}, kept` : entry.cell;
}

/** How the readings were saved, and what is still blank. */
export function savedWords(name: string, measured: number, all: number): string {
  const blank = all - measured;
  const rest = blank === 0 ? 'every place is measured' : `${blank} of ${all} places are blank`;
  return `${name} went to this browser's downloads; ${rest}.`;
}

/** Readings of an earlier visit. */
export function keptWords(measured: number, when: string): string {
  const readings = measured === 1 ? '1 reading' : `${measured} readings`;
  return `${readings} typed on this device, the last on ${when}, are still here.`;
}

/** A question about a reading, and what to do now. */
export function questionWords(doubt: string, before: string | null): string {
  const again = before === null ? '' : ` The time before you typed ${before}.`;
  return `${doubt}${again} Measure again while the board is in hand.`;
}

/** What keeps a reading from being taken; nothing where it was. */
export function problemWords(outcome: Outcome): string {
  if (outcome.kind === 'refused') return sentence(outcome.problem);
  if (outcome.kind === 'only-one-left') return 'This is the only place left.';
  return '';
}

/** For those who listen: what was taken, and where to measure next. */
export function outcomeWords(sheet: SheetData, state: SheetState, outcome: Outcome): string {
  if (outcome.kind === 'tried') return `${outcome.cell}, try ${outcome.count} of ${TRIES}.`;
  if (outcome.kind !== 'taken' && outcome.kind !== 'moved') return '';
  const taken = outcome.kind === 'taken' ? `${outcome.cell} taken. ` : '';
  const measured = `${countMeasured(state)} of ${sheet.places.length} measured.`;
  if (isFinished(state)) return `${taken}${measured}`;
  const next = `Place ${state.at + 1}, ${placeWords(sheet.places[state.at]!, sheet.unit)}.`;
  return `${taken}${next} ${measured}`;
}

function sentence(text: string): string {
  return `${text.charAt(0).toUpperCase()}${text.slice(1)}.`;
}

/** What clearing the sheet would lose; null where nothing is measured. */
export function clearWords(measured: number, isBehind: boolean): string | null {
  if (measured === 0) return null;
  const readings = measured === 1 ? 'the one reading' : `all ${measured} readings`;
  const saved = isBehind ? 'They are not saved as a file yet.' : 'The file you saved stays.';
  return `Clear ${readings} on this device? ${saved}`;
}
