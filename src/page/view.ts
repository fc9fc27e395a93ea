import type { SheetData } from '../report/html/sheet-data.js';
import { positionIn } from '../units/position.js';
import { byData, byId, perhaps, say } from './elements.js';
import { countMeasured, isFinished, isTried, type SheetState } from './state.js';
import { triesWords, valueWords, whereTo } from './words.js';

/** Shows a state of the sheet, all of it; showing the same twice changes nothing. */
export type View = (state: SheetState) => void;

/** Finds what the page's markup holds, once. */
export function viewOf(sheet: SheetData): View {
  const parts = [progressView(sheet), placeView(sheet), mapView(sheet), listView(sheet)];
  return (state) => {
    for (const part of parts) part(state);
  };
}

function progressView({ places }: SheetData): View {
  const measured = byId('measured', HTMLElement);
  const progress = byId('progress', HTMLProgressElement);
  const [measuring, finished] = [byId('measuring', HTMLElement), byId('finished', HTMLElement)];
  return (state) => {
    const count = countMeasured(state);
    say(measured, `${count} of ${places.length} measured`);
    progress.value = count;
    measuring.hidden = isFinished(state);
    finished.hidden = !isFinished(state);
  };
}

/** The place to be measured now, what stands there already, and what can be done. */
function placeView(sheet: SheetData): View {
  const { places, unit } = sheet;
  const position = positionIn(unit);
  const [turn, whereAt] = [byId('turn', HTMLElement), byId('where-to', HTMLElement)];
  const at = ['board', 'knife', 'x', 'y'].map((what) => byId(`at-${what}`, HTMLElement));
  const had = byId('had', HTMLElement);
  const [skip, erase] = [byId('skip', HTMLElement), byId('erase', HTMLElement)];
  const back = byId('back', HTMLButtonElement);
  const [tries, triesAgain] = [byId('tries', HTMLElement), byId('tries-again', HTMLElement)];
  const takesTries = perhaps('takes-tries', HTMLInputElement);
  return (state) => {
    const place = places[state.at];
    if (!place) return;
    say(turn, `Place ${state.at + 1} of ${places.length}`);
    const values = [place.board, place.knife, position(place.x), position(place.y)];
    for (const [i, element] of at.entries()) say(element, values[i]!);
    const tried = isTried(sheet, state);
    say(whereAt, whereTo(place, tried));
    whereAt.hidden = state.questioned !== null;
    const entry = state.entries[state.at] ?? null;
    had.hidden = erase.hidden = entry === null;
    say(had, entry ? `Measured: ${valueWords(entry)}. What you type replaces it.` : '');
    say(skip, entry ? 'Go on' : 'Skip');
    back.disabled = state.at === 0;
    tries.hidden = !tried;
    triesAgain.hidden = state.tries.length === 0;
    say(tries, triesWords(state.tries.map(({ cell }) => cell)));
    if (takesTries) takesTries.checked = state.takesTries;
  };
}

/** The present board's map: what is measured, kept against the others, and next. */
function mapView({ places }: SheetData): View {
  const boards = byData('board');
  const cells = byData('place');
  return ({ at, entries }) => {
    const board = places[Math.min(at, places.length - 1)]!.board;
    for (const [name, map] of boards) (map as HTMLElement).hidden = name !== board;
    for (const [index, cell] of cells) {
      const entry = entries[Number(index)] ?? null;
      cell.classList.toggle('done', entry !== null);
      cell.classList.toggle('odd', entry?.isKept === true);
      cell.classList.toggle('now', Number(index) === at);
    }
    const now = cells.get(String(at));
    if (now) center(now);
  };
}

/** Scrolls a long board's map, and nothing else, so that the place is in its middle. */
function center(cell: Element): void {
  const frame = cell.closest('.window')!;
  const [inner, outer] = [cell.getBoundingClientRect(), frame.getBoundingClientRect()];
  frame.scrollLeft += inner.left + inner.width / 2 - outer.left - outer.width / 2;
}

/** The list of all places, and the same readings in the tables that are printed. */
function listView({ places }: SheetData): View {
  const [lists, tallies] = [byData('list'), byData('tally')];
  const [values, jumps, blanks] = [byData('value'), byData('jump'), byData('cell')];
  let shown = '';
  return ({ at, entries }) => {
    for (const [index, entry] of entries.entries()) {
      const value = values.get(String(index))!;
      say(value, entry ? valueWords(entry) : 'blank');
      value.classList.toggle('blank', entry === null);
      say(blanks.get(String(index))!, entry?.cell ?? '');
      const jump = jumps.get(String(index))!;
      if (index === at) jump.setAttribute('aria-current', 'step');
      else jump.removeAttribute('aria-current');
    }
    for (const [board, tally] of tallies) {
      const own = places.flatMap((place, i) => (place.board === board ? [entries[i] ?? null] : []));
      say(tally, `${own.filter((entry) => entry !== null).length} of ${own.length}`);
    }
    const board = places[Math.min(at, places.length - 1)]!.board;
    // Only a change of board opens its list: whoever closes one is left in peace.
    if (board !== shown)
      for (const [name, list] of lists) (list as HTMLDetailsElement).open = name === board;
    shown = board;
  };
}
