import type { Machine } from '../machine/machine.js';
import { spanOf } from '../model/coordinates.js';
import { NO_INSTRUMENTS } from '../model/instruments.js';
import {
  handStrips,
  powerBoard,
  type Station,
  stripShape,
  UNDER_POWER,
  underNewNames,
} from '../plan/boards.js';
import { minutesOf } from '../plan/minutes.js';
import { placesAcross } from '../plan/places-across.js';
import type { PlannedBoard } from '../record/plan.js';
import type { Result } from '../record/result.js';
import { type CountedPlace, countedPlaces, designOf, foretell } from './foretell.js';
import { boardsIn, type MeasuredBefore, measuredBefore } from './measured-before.js';
import { type OpenQuantity, opennessOf, openQuantities, stillOpen } from './open-quantities.js';

/** What is worth measuring next. */
export interface Next {
  readonly before: MeasuredBefore;
  readonly open: readonly OpenQuantity[];
  readonly boards: readonly PlannedBoard[];
  readonly places: readonly CountedPlace[];
  /** What these boards may not settle, by name. */
  readonly left: readonly string[];
}

/** Boards cut after a result may find the bed at another height. */
const LATER = 'later';
/** At so many places at most a strip is tried. */
const TRIED_ACROSS = 9;
const FEWEST_ROUNDS = 2;
const TIMES_ALONG = 3;
const MOST_ADDITIONS = 16;
/** What tells less than this a minute, in logarithms of U, is not worth its time. */
const LEAST_GAIN = 1e-4;

/** What is to be measured besides what was: places again, and boards to be cut. */
interface Addition {
  readonly again: readonly CountedPlace[];
  readonly stations: readonly Station[];
  /** Knives that cut the strips. */
  readonly knives: readonly string[];
  readonly wide: boolean;
}

const NOTHING: Omit<Addition, 'knives'> = { again: [], stations: [], wide: false };

/**
 * The boards or single readings that tell most a minute of what a result leaves unknown or undecided,
 * one after another until all of it is settled, or nothing tells more. Readings of scoops that are
 * there already cost least; a strip is cut by all knives, or only by those that are not known and one
 * that is; a board as wide as the machine tells the tilt without the lock.
 *
 * @param isSafe whether the machine may be run as it is
 */
export function nextBoards(machine: Machine, result: Result, isSafe: boolean): Next {
  const before = measuredBefore(machine, result);
  const open = openQuantities(machine, result);
  const places = (addition: Addition) => [...before.places, ...placesOf(machine, result, addition)];
  const leaves = (addition: Addition) =>
    stillOpen(open, foretell(before.machine, places(addition), undefined, before.heights));
  let best: Addition = { ...NOTHING, knives: cutters(machine, result) };
  let left = leaves(best);
  for (let i = 0; i < MOST_ADDITIONS && left.length > 0; i++) {
    const judge = judgeOf(machine, result, before, open, best);
    const next = candidates(machine, result, before, best)
      .filter(({ addition }) => isSafe || !addition.wide)
      .map((candidate) => ({ ...candidate, gain: judge(candidate) }))
      .reduce((most, each) => (each.gain > most.gain ? each : most));
    if (next.gain < LEAST_GAIN) break;
    best = next.addition;
    left = leaves(best);
  }
  return {
    before,
    open,
    boards: boardsOf(machine, result, best),
    places: placesOf(machine, result, best),
    left: left.map(({ name }) => name),
  };
}

/** What may be added, and which place that is there it reads once more. */
interface Candidate {
  readonly addition: Addition;
  readonly again?: number;
}

/** How much a candidate closes a minute, beyond what is planned already. */
function judgeOf(
  machine: Machine,
  result: Result,
  before: MeasuredBefore,
  open: readonly OpenQuantity[],
  planned: Addition,
): (candidate: Candidate) => number {
  const opennessWith = (addition: Addition) => {
    const places = [...before.places, ...placesOf(machine, result, addition)];
    const isOwn = (id: string) => places.some(({ reading }) => reading.knife === id);
    const fullCut = machine.block.knives.every(isOwn) ? 'foretold' : 'free';
    const { heights } = before;
    const design = designOf(before.machine, places, NO_INSTRUMENTS, heights, fullCut);
    return opennessOf(open, design);
  };
  const minutes = minutesTaken(machine, result, planned);
  const present = opennessWith(planned);
  return ({ addition, again }) => {
    const then = again === undefined ? opennessWith(addition).now : present.withOneMore(again);
    return (present.now - then) / (minutesTaken(machine, result, addition) - minutes);
  };
}

/** Knives that a strip needs: those not known, and the first that is, to compare them with. */
function cutters({ block }: Machine, { knives }: Result): readonly string[] {
  const isKnown = (id: string) =>
    knives.some((knife) => knife.id === id && knife.ends.every(({ offset }) => offset !== null));
  const unknown = block.knives.filter((id) => !isKnown(id));
  if (unknown.length === 0) return block.knives;
  const reference = block.knives.find(isKnown);
  return block.knives.filter((id) => unknown.includes(id) || id === reference);
}

function candidates(
  machine: Machine,
  result: Result,
  { places }: MeasuredBefore,
  now: Addition,
): Candidate[] {
  // Each scoop that is there may be read once more: beyond that the scoop itself is what is off.
  const isLeft = ({ reading }: CountedPlace) =>
    now.again.filter((place) => place.reading === reading).length <
    new Set(readingsAt(result, reading)).size;
  const again = places.flatMap((place, index): Candidate[] => {
    if (place.reading.cut === 'full' || !isLeft(place)) return [];
    return [{ again: index, addition: { ...now, again: [...now.again, { ...place, count: 1 }] } }];
  });
  const across = placesAcross(machine);
  const step = Math.max(1, (across.length - 1) / (TRIED_ACROSS - 1));
  const xs = Array.from({ length: TRIED_ACROSS }, (_, i) => across[Math.round(i * step)]).filter(
    (x) => x !== undefined,
  );
  const knifeSets = [now.knives, ...(now.stations.length === 0 ? [machine.block.knives] : [])];
  const strips = knifeSets.flatMap((knives) =>
    xs
      .filter((x) => now.stations.every((station) => station.x !== x))
      .map((x) => ({ ...now, knives, stations: [...now.stations, { x, rounds: FEWEST_ROUNDS }] })),
  );
  const rounds = now.stations.map((station, i) => ({
    ...now,
    stations: now.stations.with(i, { ...station, rounds: station.rounds + 1 }),
  }));
  const wide = now.wide ? [] : [{ ...now, wide: true }];
  return [...again, ...[...strips, ...rounds, ...wide].map((addition) => ({ addition }))];
}

/** Boards as they are planned, with names that the result's boards do not have. */
function boardsOf(machine: Machine, result: Result, addition: Addition): PlannedBoard[] {
  const strips = handStrips(
    addition.stations.toSorted((a, b) => a.x - b.x),
    stripShape(machine, addition.knives),
  );
  const { front, back } = spanOf(machine);
  const wide = addition.wide
    ? [powerBoard(machine, 'F1', [front, (front + back) / 2, back], TIMES_ALONG)]
    : [];
  const setting = laterSetting(result);
  const named = underNewNames([...strips, ...wide], boardsIn(result));
  return [
    ...measuredAgain(result, addition.again),
    ...named.map((board) => ({ ...board, setting })),
  ];
}

/** A name for the bed's height from now on that none had before. */
function laterSetting({ fitted }: Result): string {
  const taken = new Set(fitted.map(({ setting }) => setting));
  let name = LATER;
  for (let i = 2; taken.has(name); i++) name = `${LATER} ${i}`;
  return name;
}

/** Places to be measured again, each at the scoops that are there, as often as it is asked for. */
function measuredAgain(result: Result, again: readonly CountedPlace[]): PlannedBoard[] {
  const places = new Map<CountedPlace['reading'], number>();
  for (const { reading } of again) places.set(reading, (places.get(reading) ?? 0) + 1);
  const names = [...new Set(again.map(({ reading }) => reading.board))];
  // Each board is taken in hand once.
  const inTurn = names.flatMap((name) => [...places].filter(([{ board }]) => board === name));
  return inTurn.map(([{ board, knife, cut, setting, x }, times]): PlannedBoard => {
    const read = readingsAt(result, { board, knife, x });
    const y = [...new Set(read)].slice(0, times).sort((a, b) => a - b);
    const before = Math.max(...y.map((at) => read.filter((each) => each === at).length));
    const repeat = before === 1 ? 'again' : `again ${before}`;
    const own = setting === null ? { repeat } : { setting, repeat };
    return { board, cut, knives: [knife], x: [x], y, ...UNDER_POWER, ...own, again: true };
  });
}

/** y of every reading in a result that one knife's cut at one place gave. */
function readingsAt(
  { fitted }: Result,
  { board, knife, x }: Pick<CountedPlace['reading'], 'board' | 'knife' | 'x'>,
): number[] {
  return fitted
    .filter((each) => each.board === board && each.knife === knife && each.x === x)
    .map(({ y }) => y);
}

function placesOf(machine: Machine, result: Result, addition: Addition): CountedPlace[] {
  const cut = boardsOf(machine, result, addition).filter(({ again }) => !again);
  return [...addition.again, ...countedPlaces(cut)];
}

function minutesTaken(machine: Machine, result: Result, addition: Addition): number {
  return minutesOf(boardsOf(machine, result, addition));
}
