/** How a test board was cut: one knife by hand, one leading knife under power, all under power. */
export type Cut = 'hand' | 'proud' | 'full';

/** The knife id of a board that all knives planed. */
export const ALL_KNIVES = 'all';

/** What a reading has besides where and what it is, where nothing of that was written down. */
export const NOTHING_FURTHER = {
  file: '',
  line: 0,
  setting: null,
  run: null,
  scoop: null,
  length: null,
  repeat: null,
  by: null,
  scale: null,
  note: null,
} as const;

/** One measured thickness and where it was measured. Lengths in mm, whatever the file's unit was. */
export interface Reading {
  readonly file: string;
  /** The line in that file, counted from 1 as an editor counts it. */
  readonly line: number;
  readonly board: string;
  /** A knife's id, or `all`. */
  readonly knife: string;
  readonly cut: Cut;
  /** One locked bed height; null when the file does not name any. */
  readonly setting: string | null;
  readonly x: number;
  readonly y: number;
  readonly thickness: number;
  /** Which run of test boards, counted from 1; null when not named. */
  readonly run: number | null;
  readonly scoop: string | null;
  /** The board's length. */
  readonly length: number | null;
  readonly repeat: string | null;
  readonly by: string | null;
  /** What the machine's pointer said. */
  readonly scale: number | null;
  readonly note: string | null;
}
