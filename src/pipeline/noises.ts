import type { Noise } from '../fit/problem.js';
import type { InstrumentKind } from '../model/instruments.js';
import { CARRY_SD } from '../model/instruments.js';
import type { TestCutModel } from '../model/test-cut.js';

/** The noise of marks' ridges, where there are any: how they scatter about their own pattern. */
export interface InstrumentNoises {
  readonly marks: Noise | null;
}

/** What a guess of a noise is worth beside the scatter. */
const GUESS_FREEDOM = 2;

/**
 * One reading of a dial indicator, mm: divisions of 0.01 and an edge whose extreme is not quite met;
 * common practice, no source.
 */
const GAUGE_SD = 0.005;

/** The noise of each kind of observation in a model, in the order of its kinds. */
export function kindNoises(
  { kinds }: TestCutModel,
  thickness: Noise,
  { marks }: InstrumentNoises,
): Noise[] {
  const guess = (sd: number): Noise => ({
    kind: 'estimated',
    guess: sd,
    guessDegreesOfFreedom: GUESS_FREEDOM,
  });
  const noiseOfKind: Readonly<Record<InstrumentKind, Noise>> = {
    gauge: guess(GAUGE_SD),
    carry: guess(CARRY_SD),
    marks: marks ?? guess(0),
  };
  return kinds.map((kind) => (kind === 'thickness' ? thickness : noiseOfKind[kind]));
}
