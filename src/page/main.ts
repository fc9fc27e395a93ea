import type { SheetData } from '../report/html/sheet-data.js';
import { clearingOf } from './clearing.js';
import { byData, byId, onPress, perhaps } from './elements.js';
import { fieldOf } from './field.js';
import { keepingOf } from './keeping.js';
import { reviewOf } from './review.js';
import { savingOf } from './saving.js';
import * as steps from './state.js';
import { find, shelfOf } from './storage.js';
import { tellerOf } from './teller.js';
import { viewOf } from './view.js';
import { clearWords } from './words.js';

start(JSON.parse(byId('data', HTMLScriptElement).textContent ?? '') as SheetData);

/** Brings the page to life: what was kept is taken out; then every step is shown, told and kept. */
function start(sheet: SheetData): void {
  const shelf = shelfOf(window);
  const found = find(shelf, sheet);
  let state = found.state;
  const show = viewOf(sheet);
  const present = (step: steps.Step) => {
    state = step.state;
    show(state);
    saving.show(state);
    tell(state, step.outcome);
    if (steps.isFinished(state) || !byId('review', HTMLElement).hidden) review(state);
  };
  const take = (step: steps.Step) => {
    if (step.state !== state) keeping.keep(step.state);
    present(step);
    if (step.outcome.kind === 'taken') keeping.carryOn();
    if (step.outcome.kind === 'questioned') shake();
    if (step.outcome.kind === 'refused') field.offerAgain();
    else field.clear();
    focus();
  };
  const goTo = (index: number) => {
    take(steps.jump(state, index));
    byId('measuring', HTMLElement).scrollIntoView();
  };
  const focus = () => {
    if (steps.isFinished(state)) byId('finished-words', HTMLElement).focus();
    else field.focus();
    // On a phone the keypad would hide it.
    if (state.questioned) byId('question', HTMLElement).scrollIntoView({ block: 'nearest' });
  };
  const field = fieldOf((text) => take(steps.type(sheet, state, text)));
  const tell = tellerOf(sheet, goTo);
  const review = reviewOf(sheet, goTo);
  const saving = savingOf(sheet, () => review(state));
  const keeping = keepingOf(sheet, shelf, found, focus);
  clearingOf(
    () => clearWords(steps.countMeasured(state), saving.isBehind()),
    () => {
      keeping.carryOn();
      take({ state: steps.freshState(sheet), outcome: { kind: 'moved' } });
      review(state);
    },
    focus,
  );
  listen(take, goTo, () => state);
  window.addEventListener('storage', ({ key, newValue }) => {
    // Another tab has the same sheet: both go on with what was typed last.
    if (key === sheet.key && newValue !== null)
      present(steps.resume(sheet, find(shelf, sheet).state));
  });
  window.addEventListener('beforeunload', (event) => {
    if (!keeping.isKept() && saving.isBehind()) event.preventDefault();
  });
  byId('typing', HTMLElement).hidden = false;
  document.documentElement.classList.add('typed-into');
  present(steps.resume(sheet, state));
  focus();
}

/** A phone in a pocket or on the bed is felt where nobody looks at it; browsers ask for a key first. */
function shake(): void {
  if (navigator.userActivation?.hasBeenActive) navigator.vibrate?.([150, 80, 150]);
}

/** The buttons that lead from place to place. */
function listen(
  take: (step: steps.Step) => void,
  goTo: (index: number) => void,
  now: () => steps.SheetState,
): void {
  const press = (id: string, step: (state: steps.SheetState) => steps.Step) =>
    onPress(perhaps(id, HTMLElement), () => take(step(now())));
  press('keep', steps.keep);
  press('again', steps.again);
  press('tries-again', steps.again);
  press('back', steps.back);
  press('last', steps.back);
  press('skip', steps.skip);
  press('erase', steps.erase);
  const takesTries = perhaps('takes-tries', HTMLInputElement);
  takesTries?.addEventListener('change', () => take(steps.takeTries(now(), takesTries.checked)));
  for (const [index, button] of byData('jump')) {
    onPress(button as HTMLElement, () => goTo(Number(index)));
  }
  onPress(byId('print', HTMLElement), () => window.print());
}
