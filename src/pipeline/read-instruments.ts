import type { CarryReading, GaugeReading, Ridge } from '../boards/instrument-reading.js';
import { readCarry } from '../boards/read-carry.js';
import { readGauge } from '../boards/read-gauge.js';
import { readRidges } from '../boards/read-ridges.js';
import { feedPerKnife, type Machine } from '../machine/machine.js';
import type { Notice } from '../notices/notice.js';
import { isAmong, type ReadingPlace } from './insistence.js';
import type { SourceFile } from './source.js';

/** What was written down of instruments beside the calipers. */
export interface RawInstruments {
  readonly gauge: readonly GaugeReading[];
  readonly carry: readonly CarryReading[];
  readonly ridges: readonly Ridge[];
}

export interface InstrumentFiles {
  readonly gauge?: readonly SourceFile[];
  readonly carry?: readonly SourceFile[];
  readonly marks?: readonly SourceFile[];
}

/** Reads the files of all instruments; nothing of them where one has an error. */
export function readInstruments(
  machine: Machine,
  { gauge = [], carry = [], marks = [] }: InstrumentFiles,
): { readonly raw: RawInstruments; readonly notices: readonly Notice[] } {
  const gauged = gauge.length > 0 ? readGauge(gauge, machine) : null;
  const carried = carry.length > 0 ? readCarry(carry, machine) : null;
  const marked = marks.length > 0 ? readRidges(marks, machine) : null;
  return {
    raw: {
      gauge: gauged?.readings ?? [],
      carry: carried?.readings ?? [],
      ridges: marked?.ridges ?? [],
    },
    notices: [
      ...(gauged?.notices ?? []),
      ...(carried?.notices ?? []),
      ...(marked?.notices ?? []),
      ...(marked && feedPerKnife(machine) === null ? [noFeed(marks[0]!.name)] : []),
    ],
  };
}

function noFeed(file: string): Notice {
  return {
    code: 'marks-without-feed',
    severity: 'error',
    message: 'knife marks are read against the feed, and the machine file does not give it',
    file,
    expected: 'speed in [feed] and speed in [block] of the machine file',
    hint: 'add both; the feed need only be roughly right',
  };
}

/** The places of all that was written down. */
export function placesOf({ gauge, carry, ridges }: RawInstruments): readonly ReadingPlace[] {
  return [...gauge, ...carry, ...ridges];
}

/** What is left when some places are to be left out, and what was left out. */
export function withoutPlaces(
  { gauge, carry, ridges }: RawInstruments,
  exclude: readonly ReadingPlace[],
): { readonly raw: RawInstruments; readonly excluded: RawInstruments } {
  const isOut = (place: ReadingPlace) => isAmong(exclude, place);
  const pick = (wanted: boolean): RawInstruments => ({
    gauge: gauge.filter((each) => isOut(each) === wanted),
    carry: carry.filter((each) => isOut(each) === wanted),
    ridges: ridges.filter((each) => isOut(each) === wanted),
  });
  return { raw: pick(false), excluded: pick(true) };
}
