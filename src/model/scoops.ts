import type { Reading } from '../boards/reading.js';
import { cuttingRadius, type Machine } from '../machine/machine.js';

/** Several readings along one scoop of a hand cut, which tell where its bottom lies. */
export interface Scoop {
  /** The name of the parameter: how far the bottom lies beyond `bottom`, mm along the board. */
  readonly name: string;
  /** Indices of its readings. */
  readonly readings: readonly number[];
  /** Where its bottom is taken to lie, mm along the board; the fit moves it. */
  readonly bottom: number;
}

/** How much thicker than at its bottom a scoop is read `along` mm from it, and how that changes. */
export interface ScoopArc {
  readonly rise: number;
  readonly slope: number;
}

/**
 * A scoop is an arc of the cutting circle: along²/(2R) above its bottom. Flat jaws rest on the end of
 * their width that lies further out, so they read (|along| + w/2)²/(2R), of which w²/(8R) is common
 * to all hand cuts and the gap's.
 */
export function scoopArc(machine: Machine, along: number): ScoopArc {
  const { contact } = machine.instrument;
  const width = contact?.kind === 'flat' ? (contact.size ?? 0) : 0;
  const radius = cuttingRadius(machine);
  return {
    rise: (along ** 2 + Math.abs(along) * width) / (2 * radius),
    slope: (along + (Math.sign(along) * width) / 2) / radius,
  };
}

/**
 * The scoops of hand cuts that were read at two places along them or more, and where the bottom of
 * each lies by its own readings: the median over its pairs of where an arc through both is lowest.
 */
export function scoopsOf(machine: Machine, readings: readonly Reading[]): Scoop[] {
  const groups = new Map<string, number[]>();
  readings.forEach(({ cut, scoop, board, knife, x, setting, run }, index) => {
    if (cut !== 'hand' || scoop === null) return;
    const key = JSON.stringify([board, knife, x, scoop, setting, run]);
    groups.set(key, [...(groups.get(key) ?? []), index]);
  });
  return [...groups].flatMap(([name, indices]) => {
    const slopes = slopesBetween(indices.map((index) => readings[index]!));
    if (slopes.length === 0) return [];
    const bottoms = slopes.map(({ at, slope }) => at - cuttingRadius(machine) * slope);
    return [{ name: `scoop ${name}`, readings: indices, bottom: median(bottoms) }];
  });
}

/** Thickness against y between every two readings at different places, and the middle of each two. */
function slopesBetween(readings: readonly Reading[]) {
  return readings.flatMap((a, i) =>
    readings.slice(i + 1).flatMap((b) => {
      if (a.y === b.y) return [];
      return [{ at: (a.y + b.y) / 2, slope: (b.thickness - a.thickness) / (b.y - a.y) }];
    }),
  );
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const half = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[half]! : (sorted[half - 1]! + sorted[half]!) / 2;
}
