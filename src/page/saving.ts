import type { SheetData } from '../report/html/sheet-data.js';
import { sheetCsv } from '../sheet/sheet-csv.js';
import { byId, onPress, say } from './elements.js';
import { countMeasured, type SheetState } from './state.js';
import { savedWords } from './words.js';

/** What keeps the saved text up to date. */
export interface Saving {
  /** Tells of a state that can be saved; says so where the saved one is another by now. */
  readonly show: (state: SheetState) => void;
  /** Whether there are readings that were not saved as a file. */
  readonly isBehind: () => boolean;
}

/**
 * Saves the readings as CSV: as a download, and as text to copy where downloads don't work.
 *
 * @param saved called when a file was handed over
 */
export function savingOf(sheet: SheetData, saved: () => void): Saving {
  const [told, csv] = [byId('saved', HTMLElement), byId('csv', HTMLTextAreaElement)];
  let [text, savedText] = ['', ''];
  let measured = 0;
  onPress(byId('save', HTMLElement), () => {
    download(sheet.saveAs, text);
    savedText = text;
    say(told, savedWords(sheet.saveAs, measured, sheet.places.length));
    saved();
  });
  enableCopying(csv);
  return {
    show: (state) => {
      text = sheetCsv(sheet.places, sheet.unit, state.entries, sheet.machine.name);
      measured = countMeasured(state);
      csv.value = text;
      if (savedText !== '' && text !== savedText) {
        say(told, 'Changed since it was saved: save again when you are done.');
      }
    },
    isBehind: () => measured > 0 && text !== savedText,
  };
}

let handedOver: string | null = null;

/** Hands a text to the browser's downloads. */
function download(name: string, text: string): void {
  // The one before has long been written by now.
  if (handedOver !== null) URL.revokeObjectURL(handedOver);
  handedOver = URL.createObjectURL(new Blob([text], { type: 'text/csv;charset=utf-8' }));
  const link = document.createElement('a');
  link.href = handedOver;
  link.download = name;
  document.body.append(link);
  link.click();
  link.remove();
}

function enableCopying(csv: HTMLTextAreaElement): void {
  const copied = byId('copied', HTMLElement);
  onPress(byId('copy', HTMLElement), () => {
    csv.focus();
    csv.select();
    // Older than the clipboard's own interface, and the only way on pages opened from a file in some browsers.
    const done = document.execCommand('copy');
    say(copied, done ? 'Copied.' : 'It is selected: copy it with the keyboard or the menu.');
  });
}
