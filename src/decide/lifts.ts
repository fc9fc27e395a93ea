import type { Adjusters, ScrewAdjusters, ShimAdjusters } from '../machine/machine.js';

/** A screw lifts by its nominal pitch within this relative standard deviation (common practice, no source). */
const THREAD_SD = 0.02;
/** A shim seats within this, mm (common practice, no source). */
const SEAT_SD = 0.002;

/** One way to move an adjuster: by whole finest turns, or with shims under it. */
export interface Lift {
  /** mm, + raises. */
  readonly lift: number;
  /** Standard deviation of what the hand, the thread or the seat makes of it, mm. */
  readonly sd: number;
  /** Whole multiples of the finest turn; 0 for shims. */
  readonly steps: number;
  /** The pieces, thickest first; empty for screws. */
  readonly shims: readonly number[];
}

/** Every lift an adjuster allows within a range of mm, ascending, "leave it" not among them. */
export function liftsWithin(adjusters: Adjusters, lowest: number, highest: number): Lift[] {
  return adjusters.kind === 'screw'
    ? screwLifts(adjusters, lowest, highest)
    : shimLifts(adjusters).filter(({ lift }) => lift >= lowest && lift <= highest);
}

/** The smallest change of height an adjuster allows, mm. */
export function finestLift(adjusters: Adjusters): number {
  return adjusters.kind === 'screw'
    ? adjusters.finestTurn * adjusters.liftPerTurn
    : Math.min(...adjusters.stock.map(({ thickness }) => thickness));
}

function screwLifts(screw: ScrewAdjusters, lowest: number, highest: number): Lift[] {
  const step = finestLift(screw);
  const lifts: Lift[] = [];
  const roundOff = step * 1e-9;
  for (
    let steps = Math.ceil((lowest - roundOff) / step);
    steps * step <= highest + roundOff;
    steps++
  ) {
    if (steps === 0) continue;
    const lift = steps * step;
    const sd = Math.hypot(screw.turnSd * screw.liftPerTurn, THREAD_SD * lift);
    lifts.push({ lift, sd, steps, shims: [] });
  }
  return lifts;
}

/** Sums of at most `most` pieces; of several ways to a thickness the one with fewest pieces. */
function shimLifts({ stock, most }: ShimAdjusters): Lift[] {
  const best = new Map<string, readonly number[]>();
  const thickestFirst = [...stock].sort((a, b) => b.thickness - a.thickness);
  function add(from: number, pieces: readonly number[]): void {
    if (pieces.length > 0) {
      const key = sum(pieces).toFixed(6);
      const known = best.get(key);
      if (!known || pieces.length < known.length) best.set(key, pieces);
    }
    if (pieces.length === most) return;
    for (let i = from; i < thickestFirst.length; i++) {
      const { thickness, count } = thickestFirst[i]!;
      const used = pieces.filter((piece) => piece === thickness).length;
      if (count === null || used < count) add(i, [...pieces, thickness]);
    }
  }
  add(0, []);
  return [...best.values()]
    .map((shims) => {
      const lift = sum(shims);
      return { lift, sd: Math.hypot(SEAT_SD, THREAD_SD * lift), steps: 0, shims };
    })
    .sort((a, b) => a.lift - b.lift);
}

/** Whether a stock of shims has all the pieces that some lifts take together. */
export function isInStock(
  adjusters: Adjusters,
  ...ends: readonly (readonly (Lift | null)[])[]
): boolean {
  if (adjusters.kind === 'screw') return true;
  const pieces = ends.flat().flatMap((lift) => lift?.shims ?? []);
  return adjusters.stock.every(
    ({ thickness, count }) =>
      count === null || pieces.filter((piece) => piece === thickness).length <= count,
  );
}

function sum(values: readonly number[]): number {
  return values.reduce((total, value) => total + value, 0);
}
