import { type Answers, unitOf } from '../machine/write-file.js';
import { QUESTIONS, type Question } from '../machine/write-questions.js';
import { withUnit } from '../machine/write-unit.js';
import { fits } from './init-steps.js';

/** Answers after one has changed, and what that did to others. */
export interface Changed {
  readonly answers: Answers;
  /** Answers that no longer have a place beside the new one, and were left out. */
  readonly dropped: readonly Question[];
  /** Answers that had no unit, and now carry the one they were given in. */
  readonly pinned: readonly Question[];
}

/**
 * Answers with one set or left out.
 *
 * @param literal null leaves the answer out
 * @param kept keys that nothing but themselves may change
 */
export function answersWith(
  answers: Answers,
  question: Question,
  literal: string | null,
  kept: readonly string[] = [],
): Changed {
  const set = new Map(answers);
  if (literal === null) set.delete(question.key);
  else set.set(question.key, literal);
  const others = QUESTIONS.filter(
    ({ key }) => key !== question.key && set.has(key) && !kept.includes(key),
  );
  const dropped = others.filter((other) => fits(other, answers) && !fits(other, set));
  for (const { key } of dropped) set.delete(key);
  const unit = unitOf(answers);
  if (unitOf(set) === unit) return { answers: set, dropped, pinned: [] };
  const pinned = others.filter(({ key, form }) => {
    const before = set.get(key);
    const after = before === undefined ? undefined : withUnit(form, before, unit);
    if (after === undefined || after === before) return false;
    set.set(key, after);
    return true;
  });
  return { answers: set, dropped, pinned };
}
