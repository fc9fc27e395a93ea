import { planedSurface } from '../model/surface.js';
import type { FeedFinish } from '../record/marks.js';
import { withoutNoise } from '../units/quantity.js';
import { FEED_UNITS } from '../units/speed.js';
import { type FedMachine, feedAtSpeed } from './fed-machine.js';

const INCH = 25.4;

/** Heights of all knives, mm, at each of several places across. */
export type Profiles = readonly (readonly number[])[];

/** Knives of one height: at their best. */
export function equalKnives(machine: FedMachine): Profiles {
  return [machine.block.knives.map(() => 0)];
}

/** Marks in an inch along the board. */
export function perInch(marks: number, period: number): number {
  return (INCH * marks) / period;
}

/** What a feed speed (mm/min) leaves of knives of these heights: at the roughest place, and with the fewest marks. */
export function feedFinish(
  machine: FedMachine,
  profiles: Profiles,
  feedSpeed: number,
): Omit<FeedFinish, 'isOwn'> {
  const feed = feedAtSpeed(machine, feedSpeed);
  const { knives } = machine.block;
  const surfaces = profiles.map((heights) => planedSurface(heights, feed));
  const anywhere = new Set(surfaces.flatMap(({ marks }) => marks.map(({ knife }) => knife)));
  const fewest = Math.min(...surfaces.map(({ marks }) => marks.length));
  return {
    feed: feedSpeed,
    pitch: feed.period / knives.length,
    marksPerInch: perInch(fewest, feed.period),
    ridgeHeight: Math.max(...surfaces.map(({ ridgeHeight }) => ridgeHeight)),
    finishing: knives.filter((_, knife) => anywhere.has(knife)),
    fewest,
  };
}

/** Steps in which people speak of feeds, a decade of them. */
const STEPS = [1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 8];
const DECADES = [0.01, 0.1, 1, 10, 100, 1000, 10_000];
/** The table reaches from the one to the other, in terms of the machine's own feed. */
const FROM = 0.25;
const TO = 3;
/** Feeds nearer than this are the same. */
const SAME = 1e-9;

/**
 * The finish at round feeds about the machine's own, at its own, and at the one that is asked for.
 *
 * @param unit feeds are round in m/min with mm, in ft/min with inches
 */
export function feedTable(
  machine: FedMachine,
  profiles: Profiles,
  unit: 'mm' | 'in',
): readonly FeedFinish[] {
  const { feedSpeed, ownFeedSpeed } = machine;
  const exact = [...new Set([feedSpeed, ownFeedSpeed ?? feedSpeed])];
  const own = exact.at(-1)!;
  const round = DECADES.flatMap((decade) =>
    STEPS.map((step) => withoutNoise(step * decade * FEED_UNITS[unit].mm)),
  ).filter((feed) => feed >= FROM * own && feed <= TO * own);
  const isNew = (feed: number) => exact.every((each) => Math.abs(each / feed - 1) > SAME);
  return [...exact, ...round.filter(isNew)]
    .toSorted((a, b) => a - b)
    .map((feed) => ({
      ...feedFinish(machine, profiles, feed),
      isOwn: feed === ownFeedSpeed,
    }));
}
