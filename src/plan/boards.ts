import type { PlannedBoard } from './planned-board.js';

/** Where a narrow strip is laid across the bed, and how many times round all knives cut it. */
export interface Station {
  /** mm from the mark at the bed's front end. */
  readonly x: number;
  readonly rounds: number;
}

/** How strips are cut: by which knives, how far apart, how long a strip may be. */
export interface StripShape {
  /** Knife ids in the order in which they pass. */
  readonly knives: readonly string[];
  /** From one scoop to the next along a strip, mm. */
  readonly spacing: number;
}

/** A scoop this deep, mm, is deep enough to be found and measured. */
const SCOOP_DEPTH = 1;
/** Wood left standing between two scoops, mm. */
const BETWEEN_SCOOPS = 6;
/** Scoops stand in steps of so many mm, that a pencil and a rule can mark out. */
const STEP = 5;
/** From either end of a strip to its first scoop, mm: room to hold and to clamp it. */
const HELD = 40;
/** A strip longer than this, mm, is hard to keep flat and still; common practice, no source. */
const LONGEST_STRIP = 1000;
/** Along a board cut under power, mm: clear of ends that the feed rollers leave thin. */
const CLEAR_OF_SNIPE = 150;
const POWER_STEP = 100;

/**
 * How far apart scoops are cut: an arc of radius R cut d deep is 2√(2Rd) long.
 *
 * @param radius of the cutting circle, mm
 */
export function stripShape(knives: readonly string[], radius: number): StripShape {
  const length = 2 * Math.sqrt(2 * radius * SCOOP_DEPTH);
  return { knives, spacing: STEP * Math.ceil((length + BETWEEN_SCOOPS) / STEP) };
}

/** How many rounds one strip has room for: at least one, however many knives there are. */
export function roundsAStrip({ knives, spacing }: StripShape): number {
  return Math.max(1, Math.floor((LONGEST_STRIP - 2 * HELD) / (knives.length * spacing)));
}

/**
 * Strips to be cut by hand, H1, H2 and so on: one a station, or more, alike, where its rounds take
 * more room than a strip has.
 */
export function handStrips(stations: readonly Station[], shape: StripShape): PlannedBoard[] {
  const round = shape.knives.length * shape.spacing;
  const most = roundsAStrip(shape);
  const strips = stations.flatMap(({ x, rounds }) => {
    const count = Math.ceil(rounds / most);
    return Array.from({ length: count }, (_, i) => {
      const size = Math.floor(rounds / count) + (i < rounds % count ? 1 : 0);
      return { x, y: Array.from({ length: size }, (_, each) => HELD + each * round) };
    });
  });
  return strips.map(({ x, y }, i): PlannedBoard => {
    const { knives, spacing } = shape;
    return { board: `H${i + 1}`, cut: 'hand', knives, x: [x], y, spacing };
  });
}

/**
 * A board planed under power, measured so many times along it at each place across.
 *
 * @param knife `all`, or the one that leads everywhere
 */
export function powerBoard(
  board: string,
  x: readonly number[],
  times: number,
  knife = 'all',
): PlannedBoard {
  return {
    board,
    cut: knife === 'all' ? 'full' : 'proud',
    knives: [knife],
    x,
    y: Array.from({ length: times }, (_, i) => CLEAR_OF_SNIPE + i * POWER_STEP),
    spacing: null,
  };
}

/** How many readings a board asks for. */
export function readingsOf({ knives, x, y }: PlannedBoard): number {
  return knives.length * x.length * y.length;
}
