import type { Cut } from '../boards/reading.js';
import { initialSd } from '../fit/problem.js';
import type { Machine } from '../machine/machine.js';
import { spanOf } from '../model/coordinates.js';
import { handStrips, powerBoard, type Station, stripShape } from '../plan/boards.js';
import { minutesOf } from '../plan/minutes.js';
import { placesAcross } from '../plan/places-across.js';
import { fewestMinutes, type Question } from '../plan/search.js';
import { judgeStrips } from '../plan/strips-alone.js';
import type { PlannedBoard } from '../record/plan.js';
import { countedPlaces, type Foretelling, foretell } from './foretell.js';
import { noiseOf } from './noises.js';

/** What is not to be chosen. */
export interface Fixed {
  readonly stations?: number;
  readonly repeats?: number;
  readonly cuts: readonly Cut[];
  /** The knife that is known to lead everywhere; null where none is. */
  readonly leader: string | null;
}

/** A U of a quarter of its tolerance leaves few verdicts open (the rule of 4 to 1). */
const SHARE_OF_TOLERANCE = 1 / 4;
/** With fewer stations a chip at the middle one looks like a bent knife. */
export const FEWEST_STATIONS = 4;
const MOST_STATIONS = 9;
/** With one round a misread looks like a knife. */
export const FEWEST_ROUNDS = 2;
const MOST_ROUNDS = 12;
/**
 * Of so many degrees of freedom a standard deviation is known to 8.5 %, 1/√(2ν) (JCGM 100:2008,
 * E.4.3): what is found then lies within 30 % of what was foretold in all but one job in some thousand.
 */
const NOISE_KNOWN = 69;
/** How often a planed face is measured along the board at one place. */
const TIMES_ALONG = 3;

/** What a plan has to reach: U of every knife's end, and of the bed's tilt and the boards' taper, mm. */
export function wantedU({ tolerance }: Machine): { readonly end: number; readonly bed: number } {
  return { end: tolerance.knife * SHARE_OF_TOLERANCE, bed: tolerance.bed * SHARE_OF_TOLERANCE };
}

/**
 * The boards to cut when nothing is known yet: two strips under power, which answer the cheap question
 * first, then strips cut by hand, as few minutes of them as reach what is wanted. Where the bed's lock
 * leaves the tilt too open, a board as wide as the machine is planed too.
 */
export function freshBoards(machine: Machine, fixed: Fixed): PlannedBoard[] {
  const { knives } = machine.block;
  const { cuts, leader, repeats = TIMES_ALONG } = fixed;
  const hasFull = cuts.includes('full');
  const proud =
    cuts.includes('proud') && leader !== null ? [proudBoard(machine, leader, repeats)] : [];
  if (!cuts.includes('hand') || knives.length < 2) {
    return [...(hasFull ? underPowerAlone(machine, fixed) : []), ...proud];
  }
  const strips = [...(hasFull ? twoStrips(machine, TIMES_ALONG) : []), ...proud];
  const withWide = hasFull ? [...strips, wideBoard(machine, strips, TIMES_ALONG)] : null;
  const attempts = [
    { power: strips, asksTilt: true },
    ...(withWide ? [{ power: withWide, asksTilt: true }] : []),
    { power: strips, asksTilt: false },
  ];
  let chosen: readonly PlannedBoard[] = [];
  for (const { power, asksTilt } of attempts) {
    const { stations, reaches } = fewestMinutes(questionOf(machine, fixed, power, asksTilt));
    chosen = [...power, ...handStrips(stations, shapeOf(machine))];
    if (reaches) break;
  }
  return [...chosen];
}

/** Whether boards come up to what is wanted of the knives, and of the bed. */
export function reachesWanted(
  machine: Machine,
  { standing }: Foretelling,
  asksTilt = true,
): boolean {
  const wanted = wantedU(machine);
  const ends = standing.offsets.flat();
  if (ends.some((end) => end === null || end.U > wanted.end)) return false;
  return !asksTilt || (standing.tilt !== null && standing.tilt.U <= wanted.bed);
}

function questionOf(
  machine: Machine,
  { stations, repeats }: Fixed,
  power: readonly PlannedBoard[],
  asksTilt: boolean,
): Question {
  const noise = noiseOf(machine.instrument);
  const wanted = wantedU(machine);
  const shape = shapeOf(machine);
  const boardsOf = (chosen: readonly Station[]) => [...power, ...handStrips(chosen, shape)];
  const asked = {
    span: spanOf(machine),
    knives: machine.block.knives.length,
    sd: initialSd(noise),
    sdFreedom: noise.kind === 'known' ? Infinity : noise.guessDegreesOfFreedom,
    // A wide board ties both ends of the bed together: then the strips need not.
    lock: asksTilt && !power.some(({ x }) => x.length > 1) ? machine.bed.repeatability : null,
    endU: wanted.end,
    tiltU: wanted.bed,
  };
  return {
    places: placesAcross(machine, stations),
    fewestStations: stations ?? FEWEST_STATIONS,
    mostStations: stations ?? MOST_STATIONS,
    fewestRounds: repeats ?? FEWEST_ROUNDS,
    mostRounds: repeats ?? MOST_ROUNDS,
    freedom: NOISE_KNOWN,
    minutes: (chosen) => minutesOf(boardsOf(chosen)),
    judge: (chosen) => judgeStrips(asked, chosen),
    reaches: (chosen) =>
      reachesWanted(machine, foretell(machine, countedPlaces(boardsOf(chosen))), asksTilt),
  };
}

function shapeOf(machine: Machine) {
  return stripShape(machine, machine.block.knives);
}

/** Two strips under power, one at each outer adjuster or as near to it as a strip can lie. */
function twoStrips(machine: Machine, times: number): PlannedBoard[] {
  return acrossEnds(machine, 2).map((x, i) => powerBoard(machine, `F${i + 1}`, [x], times));
}

/** One board as wide as the machine, which needs no lock to tell its two edges against each other. */
function wideBoard(machine: Machine, before: readonly PlannedBoard[], times: number): PlannedBoard {
  return powerBoard(machine, `F${before.length + 1}`, acrossEnds(machine, TIMES_ALONG), times);
}

/** One board as wide as the machine, planed while one knife leads at every place. */
function proudBoard(machine: Machine, leader: string, times: number): PlannedBoard {
  return powerBoard(machine, 'P1', acrossEnds(machine, TIMES_ALONG), times, leader);
}

/** Places spread evenly from one outer adjuster to the other. */
function acrossEnds(machine: Machine, count: number): number[] {
  const { front, back } = spanOf(machine);
  const places = placesAcross(machine);
  const within = (x: number) => Math.min(places.at(-1)!, Math.max(places[0]!, x));
  if (count === 1) return [within((front + back) / 2)];
  return Array.from({ length: count }, (_, i) =>
    within(front + (i * (back - front)) / (count - 1)),
  );
}

/** Where nothing can be cut by hand: strips under power tell how boards come out, and no more. */
function underPowerAlone(machine: Machine, { stations = 2, repeats }: Fixed): PlannedBoard[] {
  const times = repeats ?? TIMES_ALONG;
  const strips = acrossEnds(machine, stations).map((x, i) =>
    powerBoard(machine, `F${i + 1}`, [x], times),
  );
  const { taper } = foretell(machine, countedPlaces(strips)).standing;
  if (taper && taper.U <= wantedU(machine).bed) return strips;
  return [...strips, wideBoard(machine, strips, times)];
}
