import type { Form, Question } from './write-questions.js';

/** How answers of a form are written: the word for one in help, and a sentence for who answers. */
interface How {
  readonly value: string;
  readonly mm: string;
  readonly in: string;
}

const LENGTH = {
  mm: 'A length in mm, or with its own unit: 3 3/4 in, 40 thou.',
  in: 'A length in inches, 0.75 or 3/4, or with its own unit: 19 mm, 40 thou.',
};

const HOW: Readonly<Record<Exclude<Form, 'choice'>, How>> = {
  text: same('text', 'Any words, in one line.'),
  'yes-no': same('yes|no', 'yes or no.'),
  ids: same(
    'ids',
    'A count numbers them: 4 stands for knives 1, 2, 3 and 4. Or give their names: A, B, C. (One knife named 4: "4", in quotes.)',
  ),
  names: same('names', 'Two names with a comma between.'),
  length: { value: 'length', ...LENGTH },
  lengths: {
    value: 'lengths',
    mm: 'Lengths in mm from front to back, commas between; each may have its own unit.',
    in: 'Lengths in inches from front to back, commas between; each may have its own unit.',
  },
  repeatability: {
    value: 'length',
    mm: `${LENGTH.mm} Or the word unknown.`,
    in: `${LENGTH.in} Or the word unknown.`,
  },
  numbers: same('degrees', 'Degrees, one a knife, commas between.'),
  rotation: same('speed', 'Revolutions a minute: 4500 rpm, or 75 rev/s.'),
  feed: same('speed', 'With its unit: 9 m/min, 30 ft/min, 150 mm/s.'),
  thread: same('thread', 'As it is designated: M6, M8x1, 1/4-28, #10-32.'),
  turns: same('turns', 'A part of a turn: 1/16, 0.0625 or 22.5 deg.'),
  stock: {
    value: 'shims',
    mm: 'Thicknesses in mm, commas between; 0.05 x 6 where there are only six.',
    in: 'Thicknesses in inches, commas between; 0.002 x 6 where there are only six.',
  },
  count: same('count', 'A whole number, 1 or more.'),
  day: same('date', 'Year, month, day: 2026-11-20.'),
  contact: {
    value: 'contact',
    mm: 'point, flat with its width or ball with its diameter: flat 3 mm, ball 2 mm.',
    in: 'point, flat with its width or ball with its diameter: flat 1/8 in, ball 2 mm.',
  },
};

function same(value: string, sentence: string): How {
  return { value, mm: sentence, in: sentence };
}

/** How an answer to a question is written, in a sentence. */
export function howToWrite({ form, words = [] }: Question, unit: 'mm' | 'in'): string {
  if (form !== 'choice') return HOW[form][unit];
  return `${words.join(' or ')}; the first letters will do.`;
}

/** Longer ones leave no room for what help says beside them. */
const LONGEST_VALUE = 24;

/** What stands behind a question's option in help. */
export function valueName({ form, words = [] }: Question): string {
  if (form !== 'choice') return HOW[form].value;
  const all = words.join('|');
  return all.length <= LONGEST_VALUE ? all : 'word';
}
