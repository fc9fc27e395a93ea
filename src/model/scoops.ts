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
  /** Indices of readings far from the arc of the others. */
  readonly astray: readonly number[];
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
  const radius = scoopRadius(machine);
  return {
    rise: (along ** 2 + Math.abs(along) * width) / (2 * radius),
    slope: (along + (Math.sign(along) * width) / 2) / radius,
  };
}

/** No caliper is this far off, mm; who reads one is. */
const ASTRAY = 0.1;
/** Radius of the arc on which readings along a scoop lie: a ball's centre runs inside the scoop. */
function scoopRadius(machine: Machine): number {
  const { contact } = machine.instrument;
  return cuttingRadius(machine) - (contact?.kind === 'ball' ? (contact.size ?? 0) / 2 : 0);
}

/** A scoop deeper than this is none, mm: its bottom lies no further from its readings than its rim. */
const DEEPEST = 2;

/**
 * The scoops of hand cuts that were read at two places along them or more, and where the bottom of
 * each lies by its own readings: of the places where an arc through two of them is lowest, the one
 * whose arc the readings leave least, by the sum of their distances from it.
 *
 * @param excluded indices of readings that count for nothing
 */
export function scoopsOf(
  machine: Machine,
  readings: readonly Reading[],
  excluded: ReadonlySet<number> = new Set(),
): Scoop[] {
  const groups = new Map<string, number[]>();
  readings.forEach(({ cut, scoop, board, knife, x, setting, run }, index) => {
    if (cut !== 'hand' || scoop === null || excluded.has(index)) return;
    const key = JSON.stringify([board, knife, x, scoop, setting, run]);
    groups.set(key, [...(groups.get(key) ?? []), index]);
  });
  return [...groups].flatMap(([name, indices]) => {
    const own = indices.map((index) => readings[index]!);
    const candidates = bottomsOf(machine, own);
    if (candidates.length === 0) return [];
    const off = candidates.map((bottom) => distancesFromArc(machine, own, bottom));
    // One that is far off must not pull: it counts no more than any other that does not belong.
    const sums = off.map((distances) =>
      distances.reduce((sum, distance) => sum + Math.min(distance, ASTRAY), 0),
    );
    const best = sums.indexOf(Math.min(...sums));
    const astray = indices.filter((_, i) => off[best]![i]! > ASTRAY);
    return [{ name: `scoop ${name}`, readings: indices, bottom: candidates[best]!, astray }];
  });
}

/** Where the arc through each two readings at different places is lowest, within the scoop's rim. */
function bottomsOf(machine: Machine, readings: readonly Reading[]): number[] {
  const radius = scoopRadius(machine);
  const ys = readings.map(({ y }) => y);
  const rim = Math.sqrt(2 * radius * DEEPEST);
  const [first, last] = [Math.min(...ys) - rim, Math.max(...ys) + rim];
  return readings.flatMap((a, i) =>
    readings.slice(i + 1).flatMap((b) => {
      if (a.y === b.y) return [];
      const slope = (b.thickness - a.thickness) / (b.y - a.y);
      const bottom = (a.y + b.y) / 2 - radius * slope;
      return [Math.min(last, Math.max(first, bottom))];
    }),
  );
}

/** Each reading's distance from an arc with its bottom at y, at the height that suits most. */
function distancesFromArc(
  machine: Machine,
  readings: readonly Reading[],
  bottom: number,
): number[] {
  const left = readings.map(({ y, thickness }) => thickness - scoopArc(machine, y - bottom).rise);
  const middle = left.toSorted((a, b) => a - b)[left.length >> 1]!;
  return left.map((value) => Math.abs(value - middle));
}
