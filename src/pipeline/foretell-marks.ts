import type { Machine } from '../machine/machine.js';
import { spanOf } from '../model/coordinates.js';
import type { Feed } from '../model/feed.js';
import { allShowWithin } from '../model/surface.js';
import type { Notice } from '../notices/notice.js';
import type { MarksReport } from '../record/marks.js';
import type { Result } from '../record/result.js';
import { formatFine } from '../units/fine.js';
import { spokenIn } from '../units/spoken.js';
import { type FedMachine, feedAtSpeed } from './fed-machine.js';
import { equalKnives, feedTable } from './feed-finish.js';
import { doubtfulKnives, stationOf } from './marks-station.js';
import { otherMachine } from './other-machine.js';
import { type KnivesAt, knivesAtStations } from './result-heights.js';
import { type Wish, wantedFeeds } from './wanted-feeds.js';

/** A result and the name of its file. */
export interface EarlierResult {
  readonly name: string;
  readonly result: Result;
}

export type ForetoldMarks = Pick<MarksReport, 'stations' | 'feeds' | 'wanted' | 'notices'>;

/**
 * The marks that knives will leave: equal ones, or as a result says they stand, at each station at
 * which that was measured.
 *
 * @param unit in which messages speak and feeds are round
 */
export function foretellMarks(
  machine: FedMachine,
  earlier: EarlierResult | null,
  wishes: readonly Wish[],
  unit: 'mm' | 'in' = machine.unit,
): ForetoldMarks {
  const refused = earlier && anotherMachine(machine, earlier);
  if (refused) return { stations: [], feeds: [], wanted: [], notices: [refused] };
  const equal = equalKnives(machine);
  const knives: readonly KnivesAt[] = earlier
    ? knivesAtStations(machine, earlier.result)
    : equal.map((heights) => ({ x: null, heights, certainty: null }));
  const known = knives.map(({ heights }) => heights.filter((height) => height !== null));
  const isKnown = known.every((heights) => heights.length === machine.block.knives.length);
  const feed = feedAtSpeed(machine, machine.feedSpeed);
  const { wanted, notices } = wantedFeeds(machine, isKnown ? known : null, wishes, unit);
  return {
    stations: knives.map((at) => stationOf(machine.block.knives, at, feed)),
    feeds: feedTable(machine, isKnown ? known : equal, unit),
    wanted,
    notices: [
      ...(earlier && !isKnown ? [notKnown(machine, earlier, knives, unit)] : []),
      ...guess(machine, knives, feed, unit),
      ...(machine.block.knives.length === 1 ? [SINGLE_KNIFE] : []),
      ...notices,
    ],
  };
}

/** An error where a result is of another machine. */
export function anotherMachine(machine: Machine, { name, result }: EarlierResult): Notice | null {
  const { front, back } = spanOf(machine);
  const now = { name: machine.name, knives: machine.block.knives, ends: [front, back] };
  return otherMachine(result, now, name, 'give a result of the same machine file');
}

export const SINGLE_KNIFE: Notice = {
  code: 'single-knife',
  severity: 'info',
  message: 'a block of one knife has no others that could hide its mark or be hidden',
};

function notKnown(
  machine: FedMachine,
  { name }: EarlierResult,
  knives: readonly KnivesAt[],
  unit: 'mm' | 'in',
): Notice {
  const ids = machine.block.knives.filter((_, k) =>
    knives.some(({ heights }) => heights[k] === null),
  );
  const places = knives
    .filter(({ heights }) => heights.includes(null))
    .map(({ x }) => spokenIn(unit).place(x!));
  return {
    code: 'heights-not-known',
    severity: 'warning',
    message:
      `this result does not tell how high ${namesOf(ids)} ${ids.length === 1 ? 'stands' : 'stand'} at x ${listed(places)}, ` +
      'so which knives leave marks there is not known; the feeds are those of equal knives',
    file: name,
    hint:
      'machine isolated, cut strips by hand on which each knife, these and others, has places of its own, and analyse them; ' +
      'or read the ridges along a board that all knives planed and give them as MARKS.csv',
  };
}

/** Knives of which the result leaves open whether they show. */
function guess(
  machine: FedMachine,
  knives: readonly KnivesAt[],
  feed: Feed,
  unit: 'mm' | 'in',
): Notice[] {
  const doubtful = new Set(knives.flatMap((at) => doubtfulKnives(at, feed)));
  if (doubtful.size === 0) return [];
  const ids = machine.block.knives.filter((_, knife) => doubtful.has(knife));
  const widest = Math.max(...knives.flatMap(widestOf));
  return [
    {
      code: 'marks-are-a-guess',
      severity: 'warning',
      message:
        `whether ${namesOf(ids)} ${ids.length === 1 ? 'leaves' : 'leave'} marks is a guess: heights are known to ` +
        `± ${formatFine(widest, unit)}, and ${formatFine(allShowWithin(feed)!, unit)} decides`,
      hint: 'measured marks settle it: read the ridges along a board that all knives planed and give them as MARKS.csv',
    },
  ];
}

/** The widest U of the knives' offsets from the mean of all. */
function widestOf({ heights, certainty }: KnivesAt): number[] {
  if (!certainty) return [];
  const share = 1 / heights.length;
  return heights.map(
    (_, knife) =>
      certainty.coverage * certainty.u(heights.map((_, k) => (k === knife ? 1 : 0) - share)),
  );
}

function namesOf(ids: readonly string[]): string {
  return `${ids.length === 1 ? 'knife' : 'knives'} ${listed(ids)}`;
}

function listed(names: readonly string[]): string {
  if (names.length === 1) return names[0]!;
  return `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`;
}
