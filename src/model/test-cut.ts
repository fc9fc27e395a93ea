import type { Reading } from '../boards/reading.js';
import type { Machine } from '../machine/machine.js';
import { type Contact, contactLevel } from './contact.js';
import { type Feed, machineFeed } from './feed.js';
import {
  addBed,
  addKnife,
  addNodes,
  along,
  type Combination,
  knifeHeights,
  type Layout,
  type Level,
  layOut,
} from './layout.js';

/** Standard deviation of a knife's bow that is assumed before any board is measured, mm. */
const BOW_SD = 0.02;

/** Stations closer than this share of the span are one station. */
const SAME_STATION = 0.01;

/** Whether the knives foretell the level of full boards, or it is left free. */
export type FullCut = 'foretold' | 'free';

/** Something known beforehand, as one more row: combination · parameters = value ± sd. */
export interface PriorRow {
  readonly kind: 'bow' | 'bed-lock';
  readonly combination: Combination;
  readonly value: number;
  readonly sd: number;
}

/** What each reading should be, for parameter values, and how that depends on them. */
export interface TestCutModel {
  readonly fullCut: FullCut;
  readonly layout: Layout;
  readonly feed: Feed | null;
  readonly contact: Contact;
  readonly readings: readonly Reading[];
  readonly priors: readonly PriorRow[];
  /** Whether the reading of that index depends on the parameters in a straight line. */
  isLinear(index: number): boolean;
  /** What the reading of that index should be, mm. */
  predict(parameters: Float64Array, index: number): number;
  /** Derivative of `predict` by each parameter. */
  gradient(parameters: Float64Array, index: number): Combination;
}

/**
 * The model of the thickness that a board comes out with:
 *
 *     t = T(setting, hand or power) + s(board) + tilt·ξ/2 + crown·q(ξ) − H(x)
 *
 * with H the height of one knife (cut by hand, or one proud knife under power), or the crest level
 * of all of them (`foretold`). Where some knife's height cannot be known, the level of full boards is
 * left free (`free`): they then say how they come out, and nothing about the knives.
 *
 * @param fullCut how full boards are understood
 */
export function testCutModel(
  machine: Machine,
  readings: readonly Reading[],
  fullCut: FullCut,
): TestCutModel {
  const knives = machine.block.knives;
  const feed = machineFeed(machine);
  const { contact } = machine.instrument;
  const layout = layOut(machine, layoutParts(machine, readings, fullCut));
  const gaps = new Map(layout.levels.map((level, index) => [levelKey(level), index]));
  const knifeIndex = new Map(knives.map((id, index) => [id, index]));
  const boardIndex = new Map(layout.boards.map((key, index) => [key, index]));
  // A single knife under power leaves its own ridges, and the instrument may rest on them.
  const ownRidge = feed ? -contactLevel([0], { ...feed, positions: [0] }, contact).level : 0;
  const free = fullCut === 'free';

  function shared(reading: Reading): Combination {
    const out = new Float64Array(layout.size);
    out[gaps.get(levelKey(levelOf(reading, fullCut)))!] = 1;
    const board = boardIndex.get(boardKey(reading, fullCut));
    if (board !== undefined) out[layout.at.board + board] = 1;
    if (reading.cut === 'full' && free) addNodes(layout, out, reading.x, 1);
    else addBed(layout, out, reading.x, 1);
    if (reading.cut !== 'full')
      addKnife(layout, out, knifeIndex.get(reading.knife)!, reading.x, -1);
    return out;
  }

  const bases = readings.map(shared);
  const isLinear = (index: number) => free || readings[index]!.cut !== 'full';

  return {
    fullCut,
    layout,
    feed,
    contact,
    readings,
    priors: priorRows(machine, layout),
    isLinear,
    predict(parameters, index) {
      const value = along(bases[index]!, parameters);
      const { cut, x } = readings[index]!;
      if (cut === 'proud') return value + ownRidge;
      if (isLinear(index)) return value;
      return value - contactLevel(knifeHeights(layout, parameters, x), feed, contact).level;
    },
    gradient(parameters, index) {
      if (isLinear(index)) return bases[index]!;
      const out = bases[index]!.slice();
      addPlaned({ layout, feed, contact }, parameters, readings[index]!.x, out, -1);
      return out;
    },
  };
}

/** Adds `weight` times the derivative of what is read of the planed surface at x to a combination. */
export function addPlaned(
  { layout, feed, contact }: Pick<TestCutModel, 'layout' | 'feed' | 'contact'>,
  parameters: Float64Array,
  x: number,
  out: Combination,
  weight: number,
): void {
  const planed = contactLevel(knifeHeights(layout, parameters, x), feed, contact);
  for (const share of planed.weights) addKnife(layout, out, share.knife, x, weight * share.weight);
}

/** x of the stations among readings: positions closer than a hundredth of the span are one. */
export function stationsOf(readings: readonly Reading[], span: number): number[] {
  const stations: number[] = [];
  for (const x of readings.map((reading) => reading.x).sort((a, b) => a - b)) {
    const last = stations.at(-1);
    if (last === undefined || x - last > SAME_STATION * span) stations.push(x);
  }
  return stations;
}

function layoutParts(
  machine: Machine,
  readings: readonly Reading[],
  fullCut: FullCut,
): Parameters<typeof layOut>[1] {
  const [front, back] = [machine.adjusters.at[0]!, machine.adjusters.at.at(-1)!];
  const full = readings.filter((reading) => reading.cut === 'full');
  const alone = readings.filter((reading) => reading.cut !== 'full');
  const levels = new Map<string, Level>();
  for (const reading of readings) {
    const level = levelOf(reading, fullCut);
    levels.set(levelKey(level), level);
  }
  return {
    levels: [...levels.values()],
    boards: boardsWithHeight(machine, readings, fullCut),
    bows: stationsOf(alone, back - front).length >= 3,
    nodes: fullCut === 'free' ? stationsOf(full, back - front) : [],
  };
}

/**
 * Boards whose height is a parameter: all, when the bed's lock is known to be worth something; none
 * when it is perfect. When it is unknown nothing ties boards together, and the first board of each
 * level stands for the level itself.
 */
function boardsWithHeight(
  machine: Machine,
  readings: readonly Reading[],
  fullCut: FullCut,
): string[] {
  const { repeatability } = machine.bed;
  if (repeatability === 0) return [];
  const boards = new Map<string, string>();
  for (const reading of readings) {
    boards.set(boardKey(reading, fullCut), levelKey(levelOf(reading, fullCut)));
  }
  if (repeatability !== null) return [...boards.keys()];
  const seen = new Set<string>();
  return [...boards].filter(([, level]) => seen.has(level) || !seen.add(level)).map(([key]) => key);
}

function priorRows(machine: Machine, layout: Layout): PriorRow[] {
  const rows: PriorRow[] = [];
  if (layout.bows) {
    const middle = (layout.span.front + layout.span.back) / 2;
    const end = layout.span.front;
    layout.knives.forEach((_, knife) => {
      const combination = new Float64Array(layout.size);
      // The bow alone: the middle less the mean of both ends, where q is 1 and 0.
      addKnife(layout, combination, knife, middle, 1);
      addKnife(layout, combination, knife, end, -0.5);
      addKnife(layout, combination, knife, layout.span.back, -0.5);
      rows.push({ kind: 'bow', combination, value: 0, sd: BOW_SD });
    });
  }
  const { repeatability } = machine.bed;
  if (repeatability !== null) {
    layout.boards.forEach((_, board) => {
      const combination = new Float64Array(layout.size);
      combination[layout.at.board + board] = 1;
      rows.push({ kind: 'bed-lock', combination, value: 0, sd: repeatability });
    });
  }
  return rows;
}

function levelOf(reading: Reading, fullCut: FullCut): Level {
  const { cut, setting } = reading;
  if (cut === 'hand') return { setting, kind: 'hand' };
  return { setting, kind: cut === 'full' && fullCut === 'free' ? 'full' : 'power' };
}

function boardKey(reading: Reading, fullCut: FullCut): string {
  return JSON.stringify([reading.board, levelKey(levelOf(reading, fullCut))]);
}

function levelKey({ setting, kind }: Level): string {
  return JSON.stringify([kind, setting]);
}
