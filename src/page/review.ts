import type { SheetData } from '../report/html/sheet-data.js';
import { byId, onPress } from './elements.js';
import { disagreeing, type SheetState } from './state.js';
import { placeWords, valueWords } from './words.js';

/**
 * Looks through all readings for such as disagree with the rest and lists them.
 *
 * @param measureAgain called with a place that is to be measured again
 */
export function reviewOf(
  sheet: SheetData,
  measureAgain: (index: number) => void,
): (state: SheetState) => void {
  const [review, list] = [byId('review', HTMLElement), byId('review-list', HTMLElement)];
  return (state) => {
    const found = disagreeing(sheet, state);
    review.hidden = found.length === 0;
    list.replaceChildren(
      ...found.map((index) => {
        const place = placeWords(sheet.places[index]!, sheet.unit);
        const button = document.createElement('button');
        button.type = 'button';
        button.textContent = `Place ${index + 1}, ${place}: ${valueWords(state.entries[index]!)}`;
        onPress(button, () => measureAgain(index));
        const item = document.createElement('li');
        item.append(button);
        return item;
      }),
    );
  };
}
