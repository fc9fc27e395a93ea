import { cuttingRadius, feedPerKnife, type Machine } from '../machine/machine.js';

/** How a board moves under the knives, and what arc an edge leaves on it. */
export interface Feed {
  /** Feed a revolution, mm. */
  readonly period: number;
  /** Radius of the arcs at their lowest points, mm. */
  readonly radius: number;
  /** Where in the period each knife passes, ascending from 0, mm. */
  readonly positions: readonly number[];
}

/**
 * The path of an edge: a trochoid when the board is fed against the cut, which is flatter at its
 * lowest point than the circle that the edge runs on a block whose board stands still.
 */
export type Path = 'trochoid' | 'circle';

/**
 * The feed of evenly spaced knives, or of knives that stand at the given angles. A trochoid's arc is
 * read as that of a circle of the cutting radius plus period/π (Martellotti 1941, up-milling: the
 * tooth mark's height is f²/(8(R + f·n/π)) for a feed f a tooth and n teeth).
 *
 * @param feedPerKnife mm
 * @param cuttingRadius mm
 * @param angles degrees round the block, one a knife, or null where they are evenly spaced
 */
export function feedOf(
  feedPerKnife: number,
  knives: number,
  cuttingRadius: number,
  angles: readonly number[] | null,
  path: Path = 'trochoid',
): Feed {
  const period = feedPerKnife * knives;
  const positions = angles
    ? angles.map((angle) => ((angle - angles[0]!) / 360) * period)
    : Array.from({ length: knives }, (_, k) => k * feedPerKnife);
  const radius = path === 'circle' ? cuttingRadius : cuttingRadius + period / Math.PI;
  return { period, radius, positions };
}

/** The feed of a machine's own knives; null where its file gives no feed or no speed. */
export function machineFeed(machine: Machine): Feed | null {
  const perKnife = feedPerKnife(machine);
  return perKnife === null ? null : feedAt(machine, perKnife * machine.block.knives.length);
}

/** The feed of a machine's knives with the board moving by `period` mm a revolution. */
export function feedAt(machine: Machine, period: number): Feed {
  const { knives, angles } = machine.block;
  return feedOf(period / knives.length, knives.length, cuttingRadius(machine), angles);
}

/** The gap from each knife to the one after it, mm; from a single knife to its own next passing. */
export function gapsOf({ positions, period }: Feed): number[] {
  return positions.map((at, k) => (positions[k + 1] ?? positions[0]! + period) - at);
}
