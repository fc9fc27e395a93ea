import type { Noise } from '../fit/problem.js';
import type { Machine } from '../machine/machine.js';
import { likelySlip } from '../model/slips.js';
import type { Spoken } from '../units/spoken.js';
import { type Agreement, agreementOf, farthest, type Read } from './agreement.js';
import type { Entry } from './entry.js';
import type { Place } from './places.js';

/** A reading that is beyond chance by what was read before. Lengths in mm. */
export interface Doubt {
  readonly thickness: number;
  /** What the readings before lead to expect. */
  readonly expected: number;
  /** Standard deviation of what was to be expected, the reading's own noise with it. */
  readonly sd: number;
  /** How much thicker than expected. */
  readonly off: number;
  /** Standard deviation of one reading's own noise. */
  readonly readingSd: number;
  /** So likely a right reading is as far off or farther, either way. */
  readonly probability: number;
  /** The reading before that may as well be the wrong one; null where none stands out. */
  readonly earlier: EarlierReading | null;
}

/** A reading entered before. */
export interface EarlierReading extends Read {
  /** Among the places. */
  readonly index: number;
}

/** A right reading is questioned as seldom as this by chance. */
const DOUBT_BELOW = 0.001;
/** Readings among those before that are left out of judging others. */
const STRAY_BELOW = 0.001;
/** The same where it is known that one of them or the new one is wrong. */
const STRAY_IN_DOUBT_BELOW = 0.01;
/** One before is as suspect when it is so nearly as far from the rest as the new one is. */
const AS_SUSPECT = 0.8;

/**
 * Whether a new reading disagrees with those before beyond chance, by the model of the test boards
 * and weak knowledge of what no reading tells yet. Readings before that disagree with the rest are
 * left out of judging; those that were questioned and kept only count where, with the new one, they
 * outweigh another.
 *
 * @param noise of one reading, as the instrument's figures have it
 * @param entries one a place, null where none was entered; that at `index` is not looked at
 * @param index the place of the new reading
 * @param thickness the new reading, mm
 * @returns null where it agrees, or nothing before tells of it
 */
export function doubtOf(
  machine: Machine,
  noise: Noise,
  places: readonly Place[],
  entries: readonly (Entry | null)[],
  index: number,
  thickness: number,
): Doubt | null {
  const before = readsBefore(places, entries).filter((read) => read.index !== index);
  if (before.length === 0) return null;
  const reads = [...before, { place: places[index]!, thickness }];
  const agreement = agreementOf(machine, noise, reads);
  const own = before.length;
  const trusted = before.flatMap(({ isKept }, i) => (isKept ? [] : [i]));
  const standing = agreement.standing(own, agreement.withoutStrays(trusted, STRAY_BELOW));
  if (standing.probability >= DOUBT_BELOW) return null;
  if (trusted.length < own && isOutweighed(agreement, own, trusted)) return null;
  const { expected, sd, readingSd, probability } = standing;
  const suspect = asSuspect(agreement, own, trusted);
  return {
    thickness,
    expected,
    sd,
    off: thickness - expected,
    readingSd,
    probability,
    earlier: suspect === null ? null : earlierReading(before[suspect]!),
  };
}

/**
 * Readings that the others contradict, though each was accepted when it was entered: where the first
 * of several was wrong, only those after it show it.
 * @returns indices among the places
 */
export function contradicted(
  machine: Machine,
  noise: Noise,
  places: readonly Place[],
  entries: readonly (Entry | null)[],
): EarlierReading[] {
  const before = readsBefore(places, entries);
  const agreement = agreementOf(machine, noise, before);
  const all = before.map((_, i) => i);
  const agreeing = new Set(agreement.withoutStrays(all, STRAY_BELOW));
  return before.filter(({ isKept }, i) => !isKept && !agreeing.has(i)).map(earlierReading);
}

interface ReadBefore extends EarlierReading {
  readonly isKept: boolean;
}

function readsBefore(
  places: readonly Place[],
  entries: readonly (Entry | null)[],
): readonly ReadBefore[] {
  return entries.flatMap((entry, index) =>
    entry ? [{ index, place: places[index]!, ...entry }] : [],
  );
}

function earlierReading({ index, place, thickness }: ReadBefore): EarlierReading {
  return { index, place, thickness };
}

/** Whether the new reading agrees with all others once trusted ones that contradict them are out. */
function isOutweighed(agreement: Agreement, own: number, trusted: readonly number[]): boolean {
  const all = Array.from({ length: own + 1 }, (_, i) => i);
  const agreeing = agreement.withoutStrays(all, STRAY_IN_DOUBT_BELOW);
  if (!agreeing.includes(own) || trusted.every((index) => agreeing.includes(index))) return false;
  const others = agreeing.filter((index) => index !== own);
  return agreement.standing(own, others).probability >= DOUBT_BELOW;
}

/** A trusted reading that is about as far from all others as the new one is. */
function asSuspect(agreement: Agreement, own: number, trusted: readonly number[]): number | null {
  const distances = agreement.distances([...trusted, own]);
  const ofNew = distances.find(({ index }) => index === own)!;
  const before = distances.filter(({ index }) => index !== own);
  if (before.length === 0) return null;
  const worst = farthest(before);
  const limit = AS_SUSPECT * Math.abs(ofNew.distance);
  return Math.abs(worst.distance) >= limit ? worst.index : null;
}

/**
 * A doubt in words: how far off, what to expect, the likely slip, and which reading before may be the
 * wrong one instead.
 */
export function doubtWords(doubt: Doubt, spoken: Spoken): string {
  const { thickness, expected, sd, off, readingSd, earlier } = doubt;
  const way = off > 0 ? 'thicker' : 'thinner';
  const slip = likelySlip(thickness, expected, Math.max(sd, readingSd), spoken.unit);
  const words = [
    `${spoken.thickness(thickness)} is ${spoken.thickness(Math.abs(off))} ${way} than the readings before lead to expect: ${spoken.thickness(expected)} ± ${spoken.thickness(2 * sd)}.`,
    ...(slip === null ? [] : [`Perhaps ${slip}.`]),
    ...(earlier ? [`Or ${earlierWords(earlier, spoken)} is the wrong one.`] : []),
  ];
  return words.join(' ');
}

/** A reading entered before and its place, in words. */
export function earlierWords({ index, place, thickness }: EarlierReading, spoken: Spoken): string {
  const { board, knife, x } = place;
  const by = place.cut === 'full' ? '' : `, knife ${knife}`;
  return `reading ${index + 1} (board ${board}${by}, x ${spoken.place(x)}: ${spoken.thickness(thickness)})`;
}
