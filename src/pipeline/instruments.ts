import type { Reading } from '../boards/reading.js';
import type { Machine } from '../machine/machine.js';
import type { Notice } from '../notices/notice.js';
import type { Result } from '../record/result.js';
import type { Spoken } from '../units/spoken.js';
import { type FitInsistence, fitBoards, THICKNESS_ALONE } from './fit-boards.js';
import type { ReadingPlace } from './insistence.js';
import type { InstrumentFiles } from './read-instruments.js';

/** What a result rests on: the fit, and what is to be said of the instruments in it or kept out. */
export interface Fitted extends ReturnType<typeof fitBoards> {
  readonly standings: Result['instruments'];
  readonly body: Pick<Result, 'body'>;
  /** Whether some instrument and the boards cannot both be right. */
  readonly isContradicted: boolean;
  readonly notices: readonly Notice[];
}

/** Instruments beside the calipers: where their readings stand, and the fit with them. */
export interface Instruments {
  readonly places: readonly ReadingPlace[];
  readonly notices: readonly Notice[];
  fit(readings: readonly Reading[], insistence: FitInsistence, asked: Asked): Fitted;
}

interface Asked {
  readonly exclude: readonly ReadingPlace[];
  readonly use: readonly ReadingPlace[];
  readonly spoken: Spoken;
}

/**
 * The instruments of a job. What reads and fits them is loaded only where there are any: most jobs
 * are of thicknesses alone, and should start without waiting for it.
 */
export async function instrumentsOf(
  machine: Machine,
  files: InstrumentFiles,
): Promise<Instruments> {
  const { gauge = [], carry = [], marks = [] } = files;
  if (gauge.length + carry.length + marks.length > 0) {
    const { openInstruments } = await import('./open-instruments.js');
    return openInstruments(machine, files);
  }
  return {
    places: [],
    notices: [],
    fit: (readings, insistence) => boardsAlone(machine, readings, insistence),
  };
}

/** The fit of thicknesses and nothing else. */
export function boardsAlone(
  machine: Machine,
  readings: readonly Reading[],
  insistence: FitInsistence,
): Fitted {
  return {
    ...fitBoards(machine, { readings, ...THICKNESS_ALONE }, insistence),
    standings: [],
    body: {},
    isContradicted: false,
    notices: [],
  };
}
