/**
 * At which feed a wish comes true. A surface in terms of y/P, its place within the feed P of a
 * revolution, is the least over the knives of S·(y/P − place)² − height, and the feed enters by
 * S = P²/(2(R + P/π)) alone, which grows with it. So a greater feed raises every arc but at its
 * lowest point: ridges grow from nothing without end, and a knife once in the surface stays in it.
 * Each height of ridge thus belongs to one feed, and all knives show from one feed on.
 */
import { cuttingRadius } from '../machine/machine.js';
import { feedAt, gapsOf } from '../model/feed.js';
import type { Notice } from '../notices/notice.js';
import type { WantedFeed } from '../record/marks.js';
import { formatFine } from '../units/fine.js';
import { formatFeed } from '../units/speed.js';
import type { FedMachine } from './fed-machine.js';
import { equalKnives, feedFinish, type Profiles } from './feed-finish.js';

/** What is wanted of a feed; the value in mm, null for `all-show`. */
export type Wish = Pick<WantedFeed, 'wish' | 'value'>;

/** Equal heights differ by no more than arithmetic does, mm. */
const EQUAL = 1e-9;
/** Just beyond the feed at which the last mark appears, it is there. */
const A_HAIR = 1 + 1e-9;
/** A feed beyond so many times the machine's own, or below its reciprocal, gets a word of caution. */
const FAR = 4;

/**
 * The feeds at which wishes come true.
 *
 * @param profiles heights of the knives at the places that count; null where they are not known
 * @param unit in which messages speak
 */
export function wantedFeeds(
  machine: FedMachine,
  profiles: Profiles | null,
  wishes: readonly Wish[],
  unit: 'mm' | 'in',
): { readonly wanted: readonly WantedFeed[]; readonly notices: readonly Notice[] } {
  const notices: Notice[] = [];
  const wanted = wishes.map((wish): WantedFeed => {
    const found = periodFor(machine, profiles, wish, unit);
    if ('notice' in found) {
      notices.push(found.notice);
      return { ...wish, feed: null, pitch: null, ridgeHeight: null };
    }
    const finish = feedFinish(
      machine,
      profiles ?? equalKnives(machine),
      found.period * machine.block.speed,
    );
    const { feed, pitch, ridgeHeight } = finish;
    notices.push(...farFromOwn(machine, feed, unit));
    return { ...wish, feed, pitch, ridgeHeight };
  });
  return { wanted, notices };
}

type Found = { readonly period: number } | { readonly notice: Notice };

function periodFor(
  machine: FedMachine,
  profiles: Profiles | null,
  { wish, value }: Wish,
  unit: 'mm' | 'in',
): Found {
  if (wish === 'all-show') return periodForAll(machine, profiles);
  // A longer period is no planing: marks would be as long as the knives' circle is wide.
  const longest = cuttingRadius(machine);
  const period =
    wish === 'pitch'
      ? value! * machine.block.knives.length
      : periodForRidge(machine, profiles ?? equalKnives(machine), value!, longest);
  if (period <= longest) return { period };
  const roughest = feedFinish(
    machine,
    profiles ?? equalKnives(machine),
    longest * machine.block.speed,
  );
  const most = wish === 'pitch' ? roughest.pitch : roughest.ridgeHeight;
  return {
    notice: {
      code: 'no-feed-does',
      severity: 'warning',
      message: `no feed at which a block planes leaves ${wish === 'pitch' ? 'that pitch' : 'ridges that high'}`,
      found: formatFine(value!, unit),
      expected: `at most ${formatFine(most, unit)}`,
      hint:
        wish === 'pitch'
          ? 'the pitch is the feed a knife, usually a few tenths of a millimetre to a few millimetres'
          : 'ridges are micrometres high: write the unit behind the number, such as "8 um" or "0.3 thou"',
    },
  };
}

/** The period at which the roughest place has ridges of a height; Infinity beyond the longest. */
function periodForRidge(
  machine: FedMachine,
  profiles: Profiles,
  height: number,
  longest: number,
): number {
  const roughest = (period: number) =>
    feedFinish(machine, profiles, period * machine.block.speed).ridgeHeight;
  if (roughest(longest) < height) return Infinity;
  let [low, high] = [0, longest];
  while (high - low > 1e-13 * high) {
    const middle = (low + high) / 2;
    if (middle === low || middle === high) break;
    if (roughest(middle) < height) low = middle;
    else high = middle;
  }
  return high;
}

/**
 * A knife shows beside its neighbours, gaps g₁ and g₂ of a revolution away, once S·g₁·g₂ is more
 * than it lies below the line between their edges, and all show once each does so.
 */
function periodForAll(machine: FedMachine, profiles: Profiles | null): Found {
  if (!profiles) return { notice: NOT_KNOWN };
  const gaps = gapsOf(feedAt(machine, 1));
  let scale = 0;
  for (const heights of profiles) {
    heights.forEach((height, k) => {
      const [before, after] = [gaps.at(k - 1)!, gaps[k]!];
      const [previous, next] = [heights.at(k - 1)!, heights[(k + 1) % heights.length]!];
      const line = (after * previous + before * next) / (before + after);
      scale = Math.max(scale, (line - height) / (before * after));
    });
  }
  if (scale < EQUAL) return { notice: ALWAYS };
  const radius = cuttingRadius(machine);
  const period = periodOf(scale, radius) * A_HAIR;
  return period <= radius ? { period } : { notice: NEVER };
}

/** P of S = P²/(2(R + P/π)). */
function periodOf(scale: number, radius: number): number {
  const half = scale / Math.PI;
  return half + Math.sqrt(half * half + 2 * scale * radius);
}

const NOT_KNOWN: Notice = {
  code: 'all-show-not-known',
  severity: 'warning',
  message: 'at which feed all knives leave marks is not known: some height is not',
  hint: 'measure every knife, so that the result has an offset for each of its ends',
};

const ALWAYS: Notice = {
  code: 'equal-knives-show',
  severity: 'info',
  message: 'knives of one height leave their marks at every feed',
  hint: 'give --result to ask it of the knives as they stand',
};

const NEVER: Notice = {
  code: 'no-feed-does',
  severity: 'warning',
  message: 'at no feed at which a block planes do all of these knives leave marks',
  hint: 'bring the knives nearer to each other first',
};

function farFromOwn(machine: FedMachine, feed: number, unit: 'mm' | 'in'): Notice[] {
  const own = machine.ownFeedSpeed ?? machine.feedSpeed;
  if (feed <= FAR * own && feed >= own / FAR) return [];
  return [
    {
      code: 'feed-far-from-own',
      severity: 'warning',
      message: `${formatFeed(feed, unit)} is far from the ${formatFeed(own, unit)} that the machine is said to feed at`,
      hint: "the machine's manual decides what it may be fed at; more feed loads each knife more",
    },
  ];
}
