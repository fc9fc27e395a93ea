import { styleText } from 'node:util';

/** Turns text bold or coloured, or leaves it as it is; colour never carries meaning alone. */
export interface Paint {
  readonly strong: (text: string) => string;
  readonly good: (text: string) => string;
  readonly bad: (text: string) => string;
  readonly doubtful: (text: string) => string;
}

const plain = (text: string) => text;

export const NO_PAINT: Paint = {
  strong: plain,
  good: plain,
  bad: plain,
  doubtful: plain,
};

/** Whoever asks for colours has looked at the stream already. */
const style = (format: 'bold' | 'green' | 'red' | 'yellow') => (text: string) =>
  styleText(format, text, { validateStream: false });

export const COLOURS: Paint = {
  strong: style('bold'),
  good: style('green'),
  bad: style('red'),
  doubtful: style('yellow'),
};
