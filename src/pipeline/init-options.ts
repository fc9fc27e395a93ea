import { valueName } from '../machine/write-how.js';
import { QUESTIONS, type Question } from '../machine/write-questions.js';

/** An option that answers one question. */
export interface AnswerOption {
  readonly flags: string;
  /** Its name without dashes, as a command line's reader hands it on. */
  readonly name: string;
  readonly about: string;
  /** Heading that it stands under in help. */
  readonly section: string;
}

const SECTIONS: Readonly<Record<string, string>> = {
  '': 'Machine',
  block: 'Cutter block',
  feed: 'Feed',
  adjusters: 'Adjusters',
  bed: 'Bed',
  outfeed: 'Outfeed table',
  tolerance: 'Tolerance',
  instrument: 'Calipers',
  set: 'Set of knives',
};

/** One option for every key of a machine file. */
export const ANSWER_OPTIONS: readonly AnswerOption[] = QUESTIONS.map((question) => ({
  flags: `--${question.option} <${valueName(question)}>`,
  name: question.option,
  about: `${question.what}; such as ${question.typical.mm}`,
  section: sectionOf(question),
}));

/** The part of the machine that a question is about. */
export function sectionOf({ key }: Question): string {
  const [table] = key.split('.').slice(0, -1);
  return SECTIONS[table ?? '']!;
}
