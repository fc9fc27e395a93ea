import type { Reading } from '../boards/reading.js';
import type { BoardFit } from '../decide/board-fit.js';
import type { Standing } from '../decide/standing.js';
import { type OpenQuestions, openQuestions } from '../diagnose/open-questions.js';
import type { Machine } from '../machine/machine.js';
import type { Spoken } from '../units/spoken.js';

/** What readings, taken or only planned, leave open by what is known from them. */
export function questionsOf(
  machine: Machine,
  readings: readonly Reading[],
  { group }: BoardFit,
  standing: Standing,
  spoken: Spoken,
): OpenQuestions {
  const answers = {
    group,
    knifeKnown: standing.offsets.map((ends) => ends.every((end) => end !== null)),
    tiltKnown: standing.tilt !== null,
    taperKnown: standing.taper !== null,
    crownKnown: standing.crown !== null,
  };
  return openQuestions(machine, readings, answers, spoken);
}
