import type { SheetData } from '../report/html/sheet-data.js';
import { byId, onPress, say } from './elements.js';
import { countMeasured, type SheetState } from './state.js';
import { type Found, put, type Shelf } from './storage.js';
import { keptWords } from './words.js';

/** Keeps the sheet in the browser, or says that it cannot. */
export interface Keeping {
  /** Puts a state away. */
  readonly keep: (state: SheetState) => void;
  /** The remark on earlier readings has been read. */
  readonly carryOn: () => void;
  /** Whether the browser keeps the readings. */
  readonly isKept: () => boolean;
}

const NOT_KEPT =
  'This browser keeps nothing for this page: what you type is lost when the page is closed. ' +
  'Save before you close it.';
const SPOILT =
  'What this browser had kept for this sheet could not be read; the sheet begins blank.';

/**
 * @param carriedOn called when somebody chose to go on with the readings of before
 */
export function keepingOf(
  sheet: SheetData,
  shelf: Shelf | null,
  found: Found,
  carriedOn: () => void,
): Keeping {
  const [kept, unkept] = [byId('kept', HTMLElement), byId('unkept', HTMLElement)];
  let isKept = shelf !== null;
  const warn = (words: string) => {
    unkept.hidden = false;
    say(unkept, words);
  };
  const carryOn = () => {
    kept.hidden = true;
  };
  const measured = countMeasured(found.state);
  if (found.when !== null && measured > 0) {
    kept.hidden = false;
    const when = new Date(found.when);
    const shown = when.toLocaleString(undefined, { dateStyle: 'medium', timeStyle: 'short' });
    say(byId('kept-words', HTMLElement), keptWords(measured, shown));
  }
  if (!isKept) warn(NOT_KEPT);
  else if (found.isSpoilt) warn(SPOILT);
  onPress(byId('kept-on', HTMLElement), () => {
    carryOn();
    carriedOn();
  });
  return {
    keep: (state) => {
      isKept = put(shelf, sheet, state, new Date().toISOString());
      if (!isKept) warn(NOT_KEPT);
    },
    carryOn,
    isKept: () => isKept,
  };
}
