import type { Cut } from '../boards/reading.js';
import type { Notice } from '../notices/notice.js';

export type Verdict = 'inside' | 'outside' | 'undecided';

/** Lengths in mm, angles in turns. What is not known is null, and a notice says why. */
export interface Result {
  readonly schema: 'proofboard/result@1';
  readonly date: string;
  readonly measuredBy: string | null;
  readonly set: {
    readonly name: string | null;
    readonly edge: string | null;
    readonly fitted: string | null;
    readonly note: string | null;
  } | null;
  readonly machine: { readonly name: string; readonly knives: readonly string[] };
  readonly tolerance: { readonly knife: number; readonly bed: number };
  readonly instrument: { readonly resolution: number; readonly maxError: number };
  readonly files: readonly { readonly name: string; readonly sha256: string }[];
  readonly readings: {
    readonly total: number;
    readonly used: number;
    readonly setAside: readonly SetAside[];
    /** Readings that their owner insisted on keeping. */
    readonly insistedOn: readonly { readonly file: string; readonly line: number }[];
  };
  readonly fitted: readonly Fitted[];
  /** Instruments beside the calipers; empty where there were none. */
  readonly instruments: readonly InstrumentStanding[];
  readonly fit: FitSummary;
  readonly knives: readonly KnifeStanding[];
  readonly bed: BedStanding;
  /** Bed and knives against the block's own body, where a gauge was held to that at both ends. */
  readonly body?: BodyStanding;
  readonly crown: Measured;
  readonly board: BoardStanding;
  readonly finish: Finish;
  readonly faults: readonly Fault[];
  readonly evidence: Evidence;
  readonly target: { readonly name: string };
  readonly moves: readonly Move[];
  readonly expected: Expected;
  readonly verdicts: {
    readonly knives: Verdict;
    readonly bed: Verdict;
    readonly together: Verdict;
  };
  /**
   * Covariance of all determined offsets, at the ends and in the middle, and the tilt, mm²: later
   * runs are compared with it.
   */
  readonly covariance?: { readonly of: readonly string[]; readonly matrix: readonly number[][] };
  readonly since?: readonly Since[];
  readonly notices: readonly Notice[];
}

export interface PlaceOfReading {
  readonly file: string;
  readonly line: number;
  readonly board: string;
  readonly knife: string;
  readonly x: number;
  readonly y: number;
  readonly thickness: number;
}

export interface SetAside extends PlaceOfReading {
  /** Observed less predicted; null where nothing predicts it. */
  readonly residual: number | null;
  readonly reason: string;
  /** What most likely happened, in words. */
  readonly likely: string | null;
}

export interface Fitted extends PlaceOfReading {
  readonly cut: Cut;
  readonly setting: string | null;
  readonly predicted: number;
  readonly residual: number;
}

/** What became of one instrument's readings. */
export interface InstrumentStanding {
  readonly kind: 'gauge' | 'carry' | 'marks';
  /** Readings, carries or ridges; and how many of them are in the fit. */
  readonly total: number;
  readonly used: number;
  /** Standard deviation of one of them, mm; null where none is in the fit. */
  readonly sd: number | null;
  /** Its degrees of freedom. */
  readonly sdFreedom: number | null;
  /** Whether it agrees with the boards; null where there is nothing to compare. */
  readonly agrees: boolean | null;
  /** Probability of a disagreement at least as large, if both are right. */
  readonly pValue: number | null;
  readonly setAside: readonly InstrumentSetAside[];
}

export interface InstrumentSetAside {
  readonly file: string;
  readonly line: number;
  readonly x: number;
  /** A knife's id or `body`; null for a ridge. */
  readonly knife: string | null;
  /** What was read, mm. */
  readonly value: number;
  /** Observed less predicted, mm; null where nothing predicts it. */
  readonly residual: number | null;
  readonly reason: string;
}

export interface BodyStanding {
  /** How much more gap there is from the bed to the block's body at the back than at the front. */
  readonly bedTilt: Measured;
  /** How much further the mean of the knives stands out of the body at the back than at the front. */
  readonly slant: Measured;
}

export interface FitSummary {
  readonly rank: number;
  /** Rank of the readings alone, without what is assumed beforehand. */
  readonly rankOfReadings: number;
  readonly parameters: number;
  readonly degreesOfFreedom: number;
  readonly residualSd: number | null;
  /** Standard deviation of a reading that the uncertainties rest on. */
  readonly readingSd: number;
  /** Degrees of freedom of that standard deviation; null when it was given as known. */
  readonly readingSdFreedom: number | null;
  readonly ending: string;
  /** In words, what the boards leave open. */
  readonly undetermined: readonly string[];
}

/** A value with its standard and its expanded (95 %) uncertainty; all null where it is not known. */
export interface Measured {
  readonly value: number | null;
  readonly u: number | null;
  readonly U: number | null;
}

export interface KnifeEnd {
  readonly name: string;
  readonly x: number;
  readonly offset: number | null;
  readonly u: number | null;
  readonly U: number | null;
  readonly probabilityInside: number | null;
  readonly verdict: Verdict;
}

export interface KnifeStanding {
  readonly id: string;
  /** Offset in the middle between the outer adjusters, the knife's bow included. */
  readonly middle: Measured;
  readonly ends: readonly KnifeEnd[];
}

export interface BedStanding {
  readonly tilt: number | null;
  readonly u: number | null;
  readonly U: number | null;
  readonly span: number;
  readonly probabilityInside: number | null;
  readonly verdict: Verdict;
}

export interface BoardStanding {
  readonly taper: number | null;
  readonly u: number | null;
  readonly U: number | null;
  readonly probabilityInside: number | null;
  readonly verdict: Verdict;
}

export interface Finish {
  /** Knives that leave marks somewhere between the outer adjusters, by these estimates. */
  readonly showing: readonly string[];
  /** Highest less lowest within which every knife leaves marks; null without feed and speed. */
  readonly allWithin: number | null;
  readonly stations: readonly { readonly x: number; readonly showing: readonly string[] }[];
}

export interface Fault {
  readonly code: string;
  readonly probability: number;
  readonly evidence: string;
  readonly checkFirst: string;
}

/** What a careful person asks for before trusting the answer. */
export interface Evidence {
  /** Full boards against what the knives' own heights foretell; null where there is nothing to compare. */
  readonly fullBoards: {
    readonly readings: number;
    /** Root mean square of what is left between the two, mm. */
    readonly rms: number;
    /** Probability of a disagreement at least as large, if both are right. */
    readonly pValue: number;
    readonly agree: boolean;
  } | null;
  /** Readings each of which, dropped alone, would turn a verdict. */
  readonly turning: readonly (PlaceOfReading & {
    readonly quantity: string;
    readonly to: Verdict;
  })[];
  /** The place whose next reading would narrow the widest answer most. */
  readonly narrowing:
    | (PlaceOfReading & { readonly quantity: string; readonly from: number; readonly to: number })
    | null;
}

export interface Move {
  readonly knife: string;
  /** `front`, `back` or what the machine calls them; null for an adjuster between. */
  readonly end: string | null;
  readonly x: number;
  /** mm, + raises the knife. */
  readonly lift: number;
  readonly turns?: number;
  readonly direction?: 'clockwise' | 'anticlockwise';
  /** Pieces to put under that end, mm. */
  readonly shims?: readonly number[];
  /** Where this end will stand from the mean of the knives after all moves; null between the ends. */
  readonly residualAfter: number | null;
}

export interface Expected {
  readonly worstEnd: number | null;
  readonly bedTilt: number | null;
  readonly probabilityInside: number | null;
}

export interface Since {
  readonly knife: string;
  readonly end: string | null;
  readonly x: number;
  readonly asked: number;
  readonly got: number | null;
  readonly u: number | null;
  readonly response: number | null;
}
