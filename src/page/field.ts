import { byData, byId, onPress } from './elements.js';

/** The field that readings are typed into, by hand or by a caliper that is a keyboard. */
export interface Field {
  readonly clear: () => void;
  /** Leaves what was typed, so that typing replaces it. */
  readonly offerAgain: () => void;
  readonly focus: () => void;
}

/** What a reading begins with: typed anywhere on the page it is meant for the field. */
const OF_A_READING = /^[\d.,+-]$/;

/**
 * @param entered called with what was typed, at each Enter
 */
export function fieldOf(entered: (text: string) => void): Field {
  const field = byId('reading', HTMLInputElement);
  byId('form', HTMLFormElement).addEventListener('submit', (event) => {
    event.preventDefault();
    entered(field.value);
  });
  document.addEventListener('keydown', (event) => {
    const { target, key } = event;
    const isTypedInto = target instanceof HTMLInputElement && target.type === 'text';
    if (isTypedInto || target instanceof HTMLTextAreaElement) return;
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (OF_A_READING.test(key) && document.querySelector('dialog[open]') === null) field.focus();
  });
  for (const [key, button] of byData('key')) {
    // The field keeps the focus, so that a phone's keypad stays where it is.
    button.addEventListener('pointerdown', (event) => event.preventDefault());
    onPress(button as HTMLElement, () => {
      field.focus();
      field.setRangeText(key, field.selectionStart ?? 0, field.selectionEnd ?? 0, 'end');
    });
  }
  return {
    clear: () => {
      field.value = '';
    },
    offerAgain: () => field.select(),
    focus: () => field.focus(),
  };
}
