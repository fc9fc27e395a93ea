import type { FitProblem, Noise } from '../fit/problem.js';
import type { RobustFit } from '../fit/robust.js';
import type { Bound } from '../model/instruments.js';
import type { TestCutModel } from '../model/test-cut.js';

/** Model, fit, and which quantities rest on what. */
export interface BoardFit {
  readonly model: TestCutModel;
  readonly problem: FitProblem;
  /** What was taken for the noise of each kind of observation beforehand. */
  readonly noises: readonly Noise[];
  readonly robust: RobustFit;
  /** Limits that the observations go against beyond doubt. */
  readonly brokenBounds: readonly Bound[];
  /** Indices of the knives that can be compared with each other. */
  readonly group: readonly number[];
  /** Whether readings and all prior knowledge determine a combination of parameters. */
  readonly determines: (combination: Float64Array) => boolean;
  /** Whether they do so without leaning on the bed's lock. */
  readonly determinesWithoutLock: (combination: Float64Array) => boolean;
  /** Rank of the readings without any prior knowledge. */
  readonly rankOfReadings: () => number;
}
