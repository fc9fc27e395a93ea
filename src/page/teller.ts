import type { SheetData } from '../report/html/sheet-data.js';
import { type Doubt, doubtWords } from '../sheet/doubt.js';
import { spokenIn } from '../units/spoken.js';
import { byId, onPress, say } from './elements.js';
import type { Outcome, SheetState } from './state.js';
import { outcomeWords, problemWords, questionWords } from './words.js';

/** Tells what came of a step: a question, a problem, or in a word how it goes on. */
export type Teller = (state: SheetState, outcome: Outcome) => void;

/**
 * @param measureEarlier called with the place that may be the wrong one instead
 */
export function tellerOf(sheet: SheetData, measureEarlier: (index: number) => void): Teller {
  const [said, problem] = [byId('said', HTMLElement), byId('problem', HTMLElement)];
  const question = byId('question', HTMLElement);
  const [words, answers] = [byId('question-words', HTMLElement), byId('answers', HTMLElement)];
  const earlier = byId('earlier', HTMLElement);
  const spoken = spokenIn(sheet.unit);
  let suspect: number | null = null;
  onPress(earlier, () => suspect !== null && measureEarlier(suspect));
  const ask = (doubt: Doubt | null, before: string | null) => {
    question.classList.toggle('open', doubt !== null);
    answers.hidden = doubt === null;
    suspect = doubt?.earlier?.index ?? null;
    earlier.hidden = suspect === null;
    if (suspect !== null) say(earlier, `Measure place ${suspect + 1} again first`);
    say(words, doubt ? questionWords(doubtWords(doubt, spoken), before) : '');
  };
  return (state, outcome) => {
    if (outcome.kind === 'questioned') ask(outcome.doubt, outcome.before?.cell ?? null);
    else if (state.questioned === null) ask(null, null);
    // The same words are read out again only after they were gone.
    say(problem, '');
    say(problem, problemWords(outcome));
    say(said, outcomeWords(sheet, state, outcome));
  };
}
