import { NOTHING_FURTHER, type Reading } from '../boards/reading.js';
import type { Machine } from '../machine/machine.js';
import type { Fitted, Result } from '../record/result.js';
import type { AssumedHeights, CountedPlace } from './foretell.js';

/** What an earlier result rests on, as places that were read. */
export interface MeasuredBefore {
  /** The machine with the noise that was found. */
  readonly machine: Machine;
  readonly places: readonly CountedPlace[];
  /** How high the knives stand, where all of them are known. */
  readonly heights: AssumedHeights | null;
}

/** The readings in an earlier result's fit, each place as often as it was read. */
export function measuredBefore(machine: Machine, result: Result): MeasuredBefore {
  const places = new Map<string, CountedPlace>();
  for (const fitted of result.fitted) {
    const reading = readingOf(fitted);
    const { board, knife, cut, setting, x } = reading;
    const key = JSON.stringify([board, knife, cut, setting, x]);
    const count = (places.get(key)?.count ?? 0) + 1;
    places.set(key, { reading: places.get(key)?.reading ?? reading, count });
  }
  const readingSd = result.fit.readingSd;
  const instrument = { ...machine.instrument, readingSd };
  return {
    machine: { ...machine, instrument },
    places: [...places.values()],
    heights: heightsOf(result),
  };
}

/** The boards that an earlier result has readings of. */
export function boardsIn({ fitted, readings }: Result): string[] {
  return [...fitted, ...(readings?.setAside ?? [])].map(({ board }) => board);
}

/** A reading in a fit as it was read; results of before did not keep the setting. */
export function readingOf({ predicted: _, residual: __, setting, ...read }: Fitted): Reading {
  return { ...NOTHING_FURTHER, ...read, setting: setting ?? null };
}

function heightsOf({ knives }: Result): AssumedHeights | null {
  const heights = knives.map(({ ends: [front, back], middle }) => {
    const [a, b] = [front?.offset ?? null, back?.offset ?? null];
    if (a === null || b === null) return null;
    return [a, middle?.value ?? (a + b) / 2, b] as const;
  });
  return heights.every((each) => each !== null) ? heights : null;
}
