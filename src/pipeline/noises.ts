import type { Noise } from '../fit/problem.js';
import type { Instrument } from '../machine/machine.js';
import { CARRY_SD, type InstrumentKind } from '../model/instruments.js';
import type { TestCutModel } from '../model/test-cut.js';

/** The noise of marks' ridges, where there are any: how they scatter about their own pattern. */
export interface InstrumentNoises {
  readonly marks: Noise | null;
}

/** Degrees of freedom that an instrument's figures, or a guess, are worth beside the scatter. */
const GUESS_FREEDOM = 2;

/**
 * One reading of a dial indicator, mm: divisions of 0.01 and an edge whose extreme is not quite met;
 * common practice, no source.
 */
const GAUGE_SD = 0.005;

/** One reading's noise from the instrument's figures: known, or a guess that the scatter corrects. */
export function noiseOf({ resolution, maxError, readingSd }: Instrument): Noise {
  if (readingSd !== null) return { kind: 'known', sd: readingSd };
  const guess = Math.sqrt(resolution ** 2 / 12 + (maxError / 2) ** 2);
  return guessed(guess);
}

function guessed(sd: number): Noise {
  return { kind: 'estimated', guess: sd, guessDegreesOfFreedom: GUESS_FREEDOM };
}

/** The noise of each kind of observation in a model, in the order of its kinds. */
export function kindNoises(
  { kinds }: TestCutModel,
  thickness: Noise,
  { marks }: InstrumentNoises,
): Noise[] {
  const noiseOfKind: Readonly<Record<InstrumentKind, Noise>> = {
    gauge: guessed(GAUGE_SD),
    carry: guessed(CARRY_SD),
    marks: marks ?? guessed(0),
  };
  return kinds.map((kind) => (kind === 'thickness' ? thickness : noiseOfKind[kind]));
}
