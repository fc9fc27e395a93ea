import type { Reading } from '../boards/reading.js';
import type { Machine } from '../machine/machine.js';
import { type Contact, contactLevel } from './contact.js';
import { type Feed, machineFeed } from './feed.js';
import {
  type Bound,
  boundsOf,
  type InstrumentKind,
  type InstrumentReadings,
  type InstrumentRow,
  instrumentRows,
  referencesOf,
} from './instruments.js';
import {
  addBed,
  addKnife,
  addNodes,
  addReference,
  along,
  type Combination,
  knifeHeights,
  type Layout,
  type Level,
  layOut,
} from './layout.js';
import { type PriorRow, priorRows } from './priors.js';
import { type Scoop, scoopArc } from './scoops.js';
import { stationsOf } from './stations.js';

/** Whether the knives foretell the level of full boards, or it is left free. */
export type FullCut = 'foretold' | 'free';

/** What is observed: thicknesses, the scoops among them, and what other instruments read. */
export interface Observations {
  readonly readings: readonly Reading[];
  readonly scoops: readonly Scoop[];
  readonly instruments: InstrumentReadings;
}

/**
 * What each observation should be, for parameter values, and how that depends on them. Observations
 * are counted from 0, the readings of thickness first, then the rows of the instruments.
 */
export interface TestCutModel {
  readonly fullCut: FullCut;
  readonly layout: Layout;
  readonly feed: Feed | null;
  readonly contact: Contact;
  readonly readings: readonly Reading[];
  readonly scoops: readonly Scoop[];
  readonly rows: readonly InstrumentRow[];
  /** The kinds of observations there are; thickness is the first. */
  readonly kinds: readonly ('thickness' | InstrumentKind)[];
  readonly priors: readonly PriorRow[];
  readonly bounds: readonly Bound[];
  /** Whether that observation is a full board's that the knives foretell: it tells no knife apart. */
  seesAll(index: number): boolean;
  /** What that observation should be, mm. */
  predict(parameters: Float64Array, index: number): number;
  /** Derivative of `predict` by each parameter. */
  gradient(parameters: Float64Array, index: number): Combination;
}

/**
 * The model of the thickness that a board comes out with:
 *
 *     t = T(setting, hand or power) + s(board) + tilt·ξ/2 + crown·q(ξ) − H(x)
 *
 * with H the height of one knife (cut by hand, or one proud knife under power), or the level that is
 * read of all of them (`foretold`). Where some knife's height cannot be known, the level of full
 * boards is left free (`free`): they then say how they come out, and nothing about the knives. What
 * other instruments read is in straight lines of the same heights.
 *
 * @param fullCut how full boards are understood
 */
export function testCutModel(
  machine: Machine,
  observations: Observations,
  fullCut: FullCut,
): TestCutModel {
  const { readings, scoops, instruments } = observations;
  const feed = machineFeed(machine);
  const { contact } = machine.instrument;
  const layout = layOut(machine, layoutParts(machine, observations, fullCut));
  const rows = instrumentRows(machine, layout, instruments);
  const { bases, constants } = thicknessRows(machine, layout, feed, observations, fullCut);
  const count = readings.length;
  const seesAll = (index: number) =>
    fullCut === 'foretold' && index < count && readings[index]!.cut === 'full';
  return {
    fullCut,
    layout,
    feed,
    contact,
    readings,
    scoops,
    rows,
    kinds: ['thickness', ...new Set(rows.map(({ kind }) => kind))],
    priors: priorRows(machine, layout),
    bounds: boundsOf(machine, layout, instruments),
    seesAll,
    predict(parameters, index) {
      if (index >= count) return along(rows[index - count]!.combination, parameters);
      const value = constants[index]! + along(bases[index]!, parameters);
      if (!seesAll(index)) return value;
      const heights = knifeHeights(layout, parameters, readings[index]!.x);
      return value - contactLevel(heights, feed, contact).level;
    },
    gradient(parameters, index) {
      if (index >= count) return rows[index - count]!.combination;
      if (!seesAll(index)) return bases[index]!;
      const out = bases[index]!.slice();
      addPlaned({ layout, feed, contact }, parameters, readings[index]!.x, out, -1);
      return out;
    },
  };
}

/** What a reading of thickness is in straight lines of the parameters, and what is added to that. */
function thicknessRows(
  machine: Machine,
  layout: Layout,
  feed: Feed | null,
  { readings, scoops }: Observations,
  fullCut: FullCut,
): { readonly bases: readonly Combination[]; readonly constants: Float64Array } {
  const gaps = new Map(layout.levels.map((level, index) => [levelKey(level), index]));
  const knifeIndex = new Map(layout.knives.map((id, index) => [id, index]));
  const boardIndex = new Map(layout.boards.map((key, index) => [key, index]));
  const constants = new Float64Array(readings.length);
  // A single knife under power leaves its own ridges, and the instrument may rest on them.
  const { contact } = machine.instrument;
  const ownRidge = feed ? -contactLevel([0], { ...feed, positions: [0] }, contact).level : 0;
  const bases = readings.map((reading, index) => {
    const out = new Float64Array(layout.size);
    out[gaps.get(levelKey(levelOf(reading, fullCut)))!] = 1;
    const board = boardIndex.get(boardKey(reading, fullCut));
    if (board !== undefined) out[layout.at.board + board] = 1;
    if (reading.cut === 'full' && fullCut === 'free') addNodes(layout, out, reading.x, 1);
    else addBed(layout, out, reading.x, 1);
    if (reading.cut !== 'full')
      addKnife(layout, out, knifeIndex.get(reading.knife)!, reading.x, -1);
    if (reading.cut === 'proud') constants[index] = ownRidge;
    return out;
  });
  for (const scoop of scoops) {
    for (const index of scoop.readings) {
      const arc = scoopArc(machine, readings[index]!.y - scoop.bottom);
      constants[index]! += arc.rise;
      addReference(layout, bases[index]!, scoop.name, -arc.slope);
    }
  }
  return { bases, constants };
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

function layoutParts(
  machine: Machine,
  { readings, scoops, instruments }: Observations,
  fullCut: FullCut,
): Parameters<typeof layOut>[1] {
  const span = machine.adjusters.at.at(-1)! - machine.adjusters.at[0]!;
  const full = readings.filter((reading) => reading.cut === 'full');
  const alone = readings.filter((reading) => reading.cut !== 'full');
  const { gauge, carry, marks } = instruments;
  const bows = stationsOf([...alone, ...gauge, ...carry, ...marks], span).length >= 3;
  const levels = new Map<string, Level>();
  for (const reading of readings) {
    const level = levelOf(reading, fullCut);
    levels.set(levelKey(level), level);
  }
  return {
    levels: [...levels.values()],
    boards: boardsWithHeight(machine, readings, fullCut),
    bows,
    nodes: fullCut === 'free' ? stationsOf(full, span) : [],
    references: [...scoops.map(({ name }) => name), ...referencesOf(machine, instruments, bows)],
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
