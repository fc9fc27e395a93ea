import type { Machine } from '../machine/machine.js';
import { feedAt, gapsOf } from '../model/feed.js';
import { stripWidth } from './places-across.js';
import type { PlannedBoard } from './planned-board.js';

/** Where a narrow strip is laid across the bed, and how many times round all knives cut it. */
export interface Station {
  /** mm from the mark at the bed's front end. */
  readonly x: number;
  readonly rounds: number;
}

/** How strips are cut: by which knives, how far apart, how wide and long a strip may be. Lengths in mm. */
export interface StripShape {
  /** Knife ids in the order in which they pass. */
  readonly knives: readonly string[];
  /** From one scoop to the next along a strip. */
  readonly spacing: number;
  readonly width: number;
  readonly marks: Marked;
}

/** Steps along a board that a rule shows, mm: those of people who measure in mm, or in inches. */
interface Marked {
  /** Scoops stand in multiples of this. */
  readonly step: number;
  /** From either end of a strip to its first scoop: room to hold it. */
  readonly held: number;
  /** From the leading end of a board cut under power, clear of what the feed rollers leave thin. */
  readonly clear: number;
  /** Between two places along it. */
  readonly apart: number;
}

const MARKED: Readonly<Record<Machine['unit'], Marked>> = {
  mm: { step: 5, held: 40, clear: 150, apart: 100 },
  in: { step: 6.35, held: 38.1, clear: 152.4, apart: 101.6 },
};

/** A scoop this deep, mm, is deep enough to be found and measured. */
const SCOOP_DEPTH = 1;
/** Wood left standing between two scoops, mm. */
const BETWEEN_SCOOPS = 6;
/** A strip longer than this, mm, is hard to keep flat and still; common practice, no source. */
const LONGEST_STRIP = 1000;

/** How strips are cut for a machine: an arc of radius R cut d deep is 2√(2Rd) long. */
export function stripShape(machine: Machine, knives: readonly string[]): StripShape {
  const length = Math.sqrt(4 * machine.block.cuttingDiameter * SCOOP_DEPTH);
  const marks = MARKED[machine.unit];
  const spacing = marks.step * Math.ceil((length + BETWEEN_SCOOPS) / marks.step);
  return { knives, spacing, width: stripWidth(machine), marks };
}

/**
 * Whether two knives pass over one scoop together, however it is cut: an arc of radius R cut d deep
 * spans 2·acos(1 − d/R) of the circle.
 */
export function knivesShareScoops(machine: Machine): boolean {
  const { knives, cuttingDiameter } = machine.block;
  if (knives.length < 2) return false;
  // With 360 mm a revolution a gap in mm is one in degrees.
  const gaps = gapsOf(feedAt(machine, 360));
  const spanned = (360 / Math.PI) * Math.acos(1 - (2 * SCOOP_DEPTH) / cuttingDiameter);
  return gaps.some((gap) => gap < spanned);
}

/** How many rounds one strip has room for: at least one, however many knives there are. */
function roundsAStrip({ knives, spacing, marks }: StripShape): number {
  return Math.max(1, Math.floor((LONGEST_STRIP - 2 * marks.held) / (knives.length * spacing)));
}

/**
 * Strips to be cut by hand, H1, H2 and so on: one a station, or more, alike, where its rounds take
 * more room than a strip has. The order of knives is reversed each round, from strip to strip too.
 */
export function handStrips(stations: readonly Station[], shape: StripShape): PlannedBoard[] {
  const { knives, spacing, width, marks } = shape;
  const round = knives.length * spacing;
  const most = roundsAStrip(shape);
  const strips = stations.flatMap(({ x, rounds }) => {
    const count = Math.ceil(rounds / most);
    let before = 0;
    return Array.from({ length: count }, (_, i) => {
      const size = Math.floor(rounds / count) + (i < rounds % count ? 1 : 0);
      const y = Array.from({ length: size }, (_, each) => marks.held + each * round);
      const order = before % 2 === 0 ? knives : knives.toReversed();
      before += size;
      return { x, y, knives: order };
    });
  });
  return strips.map(({ x, y, knives: order }, i): PlannedBoard => {
    const length = 2 * marks.held + y.length * round - spacing;
    return { board: `H${i + 1}`, cut: 'hand', knives: order, x: [x], y, spacing, width, length };
  });
}

/** What only strips have. */
export const UNDER_POWER = { spacing: null, width: null, length: null } as const;

/**
 * A board planed under power, measured so many times along it at each place across.
 *
 * @param knife `all`, or the one that leads everywhere
 */
export function powerBoard(
  { unit }: Machine,
  board: string,
  x: readonly number[],
  times: number,
  knife = 'all',
): PlannedBoard {
  const { clear, apart } = MARKED[unit];
  return {
    board,
    cut: knife === 'all' ? 'full' : 'proud',
    knives: [knife],
    x,
    y: Array.from({ length: times }, (_, i) => clear + i * apart),
    ...UNDER_POWER,
  };
}

/** Boards under names that others do not have already: H1 becomes H5 where H1 to H4 are taken. */
export function underNewNames(
  boards: readonly PlannedBoard[],
  others: readonly string[],
): PlannedBoard[] {
  const taken = new Set(others);
  return boards.map((board) => {
    let name = board.board;
    while (taken.has(name)) name = name.replace(/\d+/, (digits) => String(Number(digits) + 1));
    taken.add(name);
    return { ...board, board: name };
  });
}

/** How many readings a board asks for. */
export function readingsOf({ knives, x, y }: PlannedBoard): number {
  return knives.length * x.length * y.length;
}
