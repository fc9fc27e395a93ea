import type { Notice } from '../notices/notice.js';

/** What knife marks say, or what they will be. Lengths in mm. What is not known is null. */
export interface MarksReport {
  readonly schema: 'proofboard/marks@1';
  readonly stations: readonly MarksStation[];
  /**
   * The finish at other feeds, in ascending order; of the same knives as the stations, or of equal
   * ones where a height is not known.
   */
  readonly feeds: readonly FeedFinish[];
  /** The feeds at which what was asked for is reached; one entry a wish. */
  readonly wanted: readonly WantedFeed[];
  /** What the ridges were read to; null where none were read. */
  readonly reading: {
    readonly ridges: number;
    readonly used: number;
    /** Standard deviation of one ridge's position along the board, mm. */
    readonly sd: number;
    /** Its degrees of freedom. */
    readonly sdFreedom: number;
    readonly setAside: readonly RidgeSetAside[];
  } | null;
  readonly notices: readonly Notice[];
}

export interface RidgeSetAside {
  readonly file: string;
  readonly line: number;
  readonly board: string;
  readonly x: number;
  readonly y: number;
  /** `misread` or `doubled`. */
  readonly reason: string;
}

/** The planed surface at one x: null for equal knives, which leave the same everywhere. */
export interface MarksStation {
  readonly x: number | null;
  /** Feed a knife. */
  readonly pitch: number;
  /** Feed a revolution of the block. */
  readonly perRevolution: number;
  /** Counts the marks that show; null where nothing tells how many do. */
  readonly marksPerInch: number | null;
  /** Highest ridge above lowest hollow; null where the knives' heights are not known. */
  readonly ridgeHeight: number | null;
  /** Ids of the knives that show, as they follow each other; empty where nothing tells which. */
  readonly finishing: readonly string[];
  /** How many knives show in a revolution; null where nothing tells. */
  readonly marks: number | null;
  /** How low one knife may be, the others equal, before it leaves no mark; null for a single knife. */
  readonly hiddenBelow: number | null;
  /** How low all others, equal, must be before one knife finishes alone; null for a single knife. */
  readonly oneKnifeBelow: number | null;
  readonly ambiguous: boolean;
  readonly knives: readonly MarksKnife[];
  /** The showing marks in the order in which they follow each other, named or not. */
  readonly inOrder: readonly {
    readonly id: string | null;
    /** From ridge to ridge. */
    readonly width: number;
    /** Height against the mean of those that show; null where it depends on what is not known. */
    readonly offset: number | null;
    readonly u: number | null;
  }[];
}

export interface MarksKnife {
  readonly id: string;
  /** Whether it leaves a mark; null where nothing tells. */
  readonly shows: boolean | null;
  /** Against the mean of the knives that show at this x. */
  readonly offset: number | null;
  readonly u: number | null;
  /** Expanded for 95 % coverage. */
  readonly U: number | null;
  /** A knife that does not show is at most this high, against the same mean: a one-sided 95 % limit. */
  readonly atMost: number | null;
}

/** What one feed leaves. */
export interface FeedFinish {
  /** mm/min */
  readonly feed: number;
  readonly pitch: number;
  readonly marksPerInch: number;
  readonly ridgeHeight: number;
  /** Ids of the knives that show anywhere, as they follow each other; at every station the fewest count. */
  readonly finishing: readonly string[];
  /** The fewest knives that show at any station. */
  readonly fewest: number;
  /** Whether it is the machine file's own feed. */
  readonly isOwn: boolean;
}

/** A wish, and the feed that fulfils it. */
export interface WantedFeed {
  readonly wish: 'pitch' | 'ridge-height' | 'all-show';
  /** mm; null for `all-show`. */
  readonly value: number | null;
  /** mm/min; null where no feed does. */
  readonly feed: number | null;
  readonly pitch: number | null;
  readonly ridgeHeight: number | null;
}
