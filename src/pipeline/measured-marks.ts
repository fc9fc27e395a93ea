import type { Ridge } from '../boards/instrument-reading.js';
import type { Machine } from '../machine/machine.js';
import { spanOf } from '../model/coordinates.js';
import { stationGroups } from '../model/stations.js';
import type { Notice } from '../notices/notice.js';
import type { MarksReport, MarksStation } from '../record/marks.js';
import { shapesOfResult } from './earlier-shapes.js';
import type { FedMachine } from './fed-machine.js';
import { equalKnives, feedTable, type Profiles } from './feed-finish.js';
import { anotherMachine, type EarlierResult, SINGLE_KNIFE } from './foretell-marks.js';
import { markSequences } from './mark-sequences.js';
import { measuredStation } from './measured-station.js';
import { ridgesRead } from './ridges-read.js';
import { settleMarks } from './settle-marks.js';
import { type Wish, wantedFeeds } from './wanted-feeds.js';
import { whoseMarks } from './whose-marks.js';

export type MeasuredMarks = Omit<MarksReport, 'schema'>;

/**
 * What measured ridges say: period, pitch, which knives show, and their heights where it is known
 * whose each mark is.
 *
 * @param ridges of one board or several, at one x or several
 * @param earlier a result whose heights may tell whose the marks are
 * @param unit in which messages speak and feeds are round
 */
export function measuredMarks(
  machine: FedMachine,
  ridges: readonly Ridge[],
  earlier: EarlierResult | null,
  wishes: readonly Wish[],
  unit: 'mm' | 'in',
): MeasuredMarks {
  const refused = earlier && anotherMachine(machine, earlier);
  const found = markSequences(machine, ridges);
  const shapes = earlier && shapesOfResult(machine, earlier.result);
  const { settled, notices: unsettled } = settleMarks(machine, found, shapes);
  const { front, back } = spanOf(machine);
  const placed = settled.map((each) => ({ ...each, x: each.sequence.x }));
  const stations = stationGroups(placed, back - front).map((each) =>
    measuredStation(machine, each, found.noise),
  );
  const profiles = profilesOf(machine, stations);
  const { wanted, notices } = wantedFeeds(machine, profiles, wishes, unit);
  return {
    stations,
    feeds: feedTable(machine, profiles ?? equalKnives(machine), unit),
    wanted,
    reading: ridgesRead(ridges, found),
    notices: [
      ...(refused ? [refused] : []),
      ...(stations.length > 0 ? found.notices : found.notices.map(asError)),
      ...unsettled,
      ...whoseMarks(machine, settled, shapes && 'the result'),
      ...(machine.block.knives.length === 1 ? [SINGLE_KNIFE] : hiddenNotice(profiles, stations)),
      ...notices,
    ],
  };
}

/** Heights of all knives at every station; null where a knife is hidden or unknown at one of them. */
function profilesOf(machine: Machine, stations: readonly MarksStation[]): Profiles | null {
  if (stations.length === 0 || machine.block.knives.length === 1) return null;
  const known = stations.map(({ knives }) =>
    knives.map(({ offset }) => offset).filter((offset) => offset !== null),
  );
  return known.every((heights) => heights.length === machine.block.knives.length) ? known : null;
}

/** Where no row of ridges tells anything there is nothing to go on with. */
function asError(notice: Notice): Notice {
  return notice.code === 'no-pattern' ? { ...notice, severity: 'error' } : notice;
}

function hiddenNotice(profiles: Profiles | null, stations: readonly MarksStation[]): Notice[] {
  if (profiles || stations.length === 0) return [];
  return [
    {
      code: 'feeds-of-equal-knives',
      severity: 'info',
      message:
        'the feeds are those of equal knives: not every knife left a mark of known height at every station',
    },
  ];
}
