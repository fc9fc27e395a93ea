import type { Notice } from '../notices/notice.js';
import type { PlannedBoard } from '../plan/planned-board.js';

export type { PlannedBoard } from '../plan/planned-board.js';

/** Which boards to cut, where to measure them, and what that will tell. Lengths in mm. */
export interface Plan {
  readonly schema: 'proofboard/plan@1';
  readonly machine: { readonly name: string; readonly knives: readonly string[] };
  readonly boards: readonly PlannedBoard[];
  /** Of all boards: knives × x × y, summed. */
  readonly readings: number;
  /** How long cutting and measuring should take. */
  readonly minutes: number;
  readonly expected: Foretold;
  /** In words, what these boards will leave open. */
  readonly undetermined: readonly string[];
  /** What other ways tell, where a block cannot be turned by hand or rollers hold the strip. */
  readonly instead: readonly Instead[];
  /** The smallest plan that can see faults at all, where it is smaller; null otherwise. */
  readonly smaller: Smaller | null;
  /** The files that an earlier result was made from: they are analysed with the new ones. */
  readonly earlierFiles?: readonly string[];
  /** What each place contributes; only where it was asked for. */
  readonly explain?: readonly Contribution[];
  /** Readings that could still overturn what an earlier result proposes; only with a result. */
  readonly overturning?: readonly Overturning[];
  readonly notices: readonly Notice[];
}

/** What the boards will tell, before any is cut; null where they will not tell it. */
export interface Foretold {
  /** The largest expanded uncertainty (95 %) of a knife's end. */
  readonly knifeEndU: number | null;
  readonly bedTiltU: number | null;
  /** Of how much thicker a full board comes out at the back than at the front. */
  readonly taperU: number | null;
  /** Probability that a knife end gets a verdict other than undecided; null with `knifeEndU`. */
  readonly clearVerdict: number | null;
}

/** A plan of fewer readings, and what it would tell. */
export interface Smaller {
  readonly stations: number;
  readonly repeats: number;
  readonly readings: number;
  readonly minutes: number;
  readonly knifeEndU: number;
}

/** The knives measured with a gauge in place of scoops. */
export interface Instead {
  readonly kind: 'gauge';
  readonly x: readonly number[];
  /** How often each knife is read at each place. */
  readonly times: number;
  readonly expected: Foretold;
}

/** What one place would be missed for: its readings of one of these knives. */
export interface Contribution {
  readonly board: string;
  readonly knives: readonly string[];
  readonly x: number;
  /** Of one knife. */
  readonly readings: number;
  /** What the plan would foretell without these readings. */
  readonly without: Foretold;
}

/** For one proposed move, the reading that it hangs on most. */
export interface Overturning {
  readonly knife: string;
  readonly end: string;
  readonly file: string;
  readonly line: number;
  readonly board: string;
  /** The knife that was read there. */
  readonly read: string;
  readonly x: number;
  readonly y: number;
  readonly thickness: number;
  /** So far off that reading would have to be for the end to be inside as it stands, mm. */
  readonly wrongBy: number;
}
