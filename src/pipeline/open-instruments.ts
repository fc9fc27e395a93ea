import type { Machine } from '../machine/machine.js';
import type { FitInsistence } from './fit-boards.js';
import { fitEverything } from './fit-everything.js';
import { isAmong, type ReadingPlace } from './insistence.js';
import { bodyParts, instrumentNotices, instrumentStandings } from './instrument-parts.js';
import type { Instruments } from './instruments.js';
import {
  type InstrumentFiles,
  placesOf,
  type RawInstruments,
  readInstruments,
  withoutPlaces,
} from './read-instruments.js';

/** Reads the files of instruments, and fits what they say together with the boards. */
export function openInstruments(machine: Machine, files: InstrumentFiles): Instruments {
  const { raw: all, notices } = readInstruments(machine, files);
  return {
    places: placesOf(all),
    notices,
    fit(readings, insistence, { exclude, use, spoken }) {
      const split = withoutPlaces(all, exclude);
      const asked = withRows(insistence, split.raw, use);
      const everything = fitEverything(machine, readings, split.raw, asked);
      const { boards, foundLock } = everything;
      return {
        boards,
        foundLock,
        standings: instrumentStandings(everything, split),
        body: bodyParts(boards),
        isContradicted: everything.instruments.some(({ agrees }) => agrees === false),
        notices: [...everything.notices, ...instrumentNotices(everything, spoken)],
      };
    },
  };
}

/** What is to be kept, readings of gauge and rule among it. */
function withRows(
  insistence: FitInsistence,
  { gauge, carry }: RawInstruments,
  use: readonly ReadingPlace[],
): FitInsistence {
  const asked = [...gauge, ...carry].filter((place) => isAmong(use, place));
  return { ...insistence, useRows: new Set(asked) };
}
