import { styleText } from 'node:util';

/** Turns text bold or coloured, or leaves it as it is; colour never carries meaning alone. */
export interface Paint {
  readonly strong: (text: string) => string;
  readonly good: (text: string) => string;
  readonly bad: (text: string) => string;
  readonly doubtful: (text: string) => string;
  readonly faint: (text: string) => string;
}

const plain = (text: string) => text;

export const NO_PAINT: Paint = {
  strong: plain,
  good: plain,
  bad: plain,
  doubtful: plain,
  faint: plain,
};

export const COLOURS: Paint = {
  strong: (text) => styleText('bold', text),
  good: (text) => styleText('green', text),
  bad: (text) => styleText('red', text),
  doubtful: (text) => styleText('yellow', text),
  faint: (text) => styleText('dim', text),
};
