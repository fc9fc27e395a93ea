import { byId, onPress, say } from './elements.js';

/**
 * Asks before all readings are cleared.
 *
 * @param question what would be lost, in words; null where nothing would
 * @param clear called once it may be done
 * @param stay called when it may not
 */
export function clearingOf(
  question: () => string | null,
  clear: () => void,
  stay: () => void,
): void {
  const dialog = byId('clearing', HTMLDialogElement);
  const ask = () => {
    const words = question();
    if (words === null) {
      clear();
      return;
    }
    say(byId('clearing-words', HTMLElement), words);
    dialog.showModal();
  };
  onPress(byId('fresh', HTMLElement), ask);
  onPress(byId('kept-fresh', HTMLElement), ask);
  onPress(byId('clear-no', HTMLElement), () => dialog.close('kept'));
  onPress(byId('clear-yes', HTMLElement), () => dialog.close('cleared'));
  dialog.addEventListener('close', () => {
    const answer = dialog.returnValue;
    dialog.returnValue = '';
    if (answer === 'cleared') clear();
    else stay();
  });
}
