/** The id under which a gauge reads the cutter block's own body. */
export const BODY = 'body';

/** Where something was written down: the file, and the line in it as an editor counts it. */
interface Written {
  readonly file: string;
  readonly line: number;
}

/** One ridge between two knife marks, read along a board that all knives planed. Lengths in mm. */
export interface Ridge extends Written {
  readonly board: string;
  readonly x: number;
  /** Along the board, from its leading end. */
  readonly y: number;
  /** Which knife cut the mark that begins at this ridge; null where that is not known. */
  readonly knife: string | null;
}

/** What a dial indicator said of one knife's edge at its extreme, or of the block's body. */
export interface GaugeReading extends Written {
  /** A knife's id, or `body`. */
  readonly knife: string;
  readonly x: number;
  /** mm, + further out. */
  readonly reading: number;
  /** Readings with the same zero share it; null where the file names none: all such share one. */
  readonly zero: string | null;
}

/** How far one knife's edge, turned by hand, carried a rule along the outfeed table. */
export interface CarryReading extends Written {
  readonly knife: string;
  readonly x: number;
  /** mm, never negative; 0 where the edge did not move the rule. */
  readonly carry: number;
}
