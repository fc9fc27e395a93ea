import type { Machine } from '../machine/machine.js';
import { spanOf } from '../model/coordinates.js';

/** As wide as strips are cut where the calipers' reach does not ask for less, mm; common practice, no source. */
const STRIP = { mm: 30, in: 31.75 } as const;
/** Strips are laid in steps that a rule shows. */
const STEPS = { mm: 10, in: 12.7 } as const;
/** On a short span the steps are halved until there are so many of them. */
const FEWEST_PLACES = 16;
/** A strip is no wider than this share of the block, so that there are places beside each other. */
const SHARE_OF_BLOCK = 1 / 4;

/** How wide a strip may be: no wider than the calipers reach in from its edge. */
export function stripWidth({ unit, block, instrument }: Machine): number {
  const usual = Math.min(STRIP[unit], block.length * SHARE_OF_BLOCK);
  return Math.min(usual, instrument.reach ?? usual);
}

/**
 * x at which a strip may be laid, front first: all of it under the block, and its middle no further
 * outside the outer adjusters than a quarter of their span, where a knife may no longer be straight.
 *
 * @param stations how many of them are needed at least
 */
export function placesAcross(machine: Machine, stations = 0): number[] {
  const { front, back } = spanOf(machine);
  const half = stripWidth(machine) / 2;
  const beyond = (back - front) / 4;
  const from = Math.max(half, front - beyond);
  const to = Math.min(machine.block.length - half, back + beyond);
  let step: number = STEPS[machine.unit];
  while ((to - from) / step < Math.max(FEWEST_PLACES, stations)) step /= 2;
  const places: number[] = [];
  for (let i = Math.ceil(from / step); i * step <= to + 1e-9; i++) places.push(i * step);
  return places;
}
