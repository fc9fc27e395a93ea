import type { Machine } from '../machine/machine.js';
import { type Feed, feedAt } from './feed.js';
import type { HeightSum } from './instruments.js';
import { lineShares } from './surface.js';

/** Marks of one revolution: which knife cut each, in the order in which they follow each other. */
export type MarkOrder = readonly number[];

/** What ridges say of the knives that left marks. Heights are against the mean of those knives. */
export interface MarkHeights {
  readonly feed: Feed;
  /** One a mark, mm. */
  readonly heights: Float64Array;
  /** Derivatives of each height by the position of each ridge, then by the period: marks × (marks + 1). */
  readonly jacobian: readonly Float64Array[];
  /** From the lowest point of the mark before each ridge to that of the mark after it, mm. */
  readonly gaps: readonly number[];
}

/**
 * The heights of the knives from where the ridges between their marks lie. A ridge lies at the middle
 * between two neighbours' lowest points plus R(h_before − h_after)/gap, so heights are linear in the
 * ridges; where along the board the first knife passed follows from the differences adding up to
 * nothing round the block.
 *
 * @param ridges where each mark begins within a revolution, ascending, mm
 * @param period feed a revolution as it was measured, mm
 * @param order the knife that cut the mark beginning at each ridge, ascending round the block
 */
export function heightsOfMarks(
  machine: Machine,
  ridges: readonly number[],
  period: number,
  order: MarkOrder,
): MarkHeights {
  const feed = feedAt(machine, period);
  const gaps = order.map((knife, i) => gapBetween(feed, order.at(i - 1)!, knife));
  const shares = gaps.map((gap) => gap / period);
  // The middles between neighbours, in periods, counted from where the first mark's knife passed.
  let at = 0;
  const middles = shares.map((share, i) => {
    at += i === 0 ? 0 : share;
    return at - share / 2;
  });
  const weighted = (values: readonly number[]) =>
    values.reduce((sum, value, i) => sum + shares[i]! * value, 0);
  const middle = weighted(middles);
  const passing = weighted(ridges.map((ridge, i) => ridge - period * middles[i]!));
  const { radius } = feed;
  const drops = ridges.map((ridge, i) => {
    const off = ridge - period * middles[i]! - passing;
    const row = new Float64Array(order.length + 1);
    for (let j = 0; j < order.length; j++) {
      row[j] = (gaps[i]! / radius) * ((i === j ? 1 : 0) - shares[j]!);
    }
    // The radius grows with the period, by 1/π.
    row[order.length] =
      (shares[i]! / radius) * (1 - period / (Math.PI * radius)) * off +
      (gaps[i]! / radius) * (middle - middles[i]!);
    return { value: (gaps[i]! / radius) * off, row };
  });
  return { feed, gaps, ...summedUp(drops) };
}

interface Drop {
  readonly value: number;
  readonly row: Float64Array;
}

/** From how much each mark lies lower than the one before it to heights about their mean. */
function summedUp(drops: readonly Drop[]): Pick<MarkHeights, 'heights' | 'jacobian'> {
  const count = drops.length;
  const heights = new Float64Array(count);
  const jacobian = [new Float64Array(count + 1)];
  for (let i = 1; i < count; i++) {
    heights[i] = heights[i - 1]! - drops[i]!.value;
    jacobian.push(jacobian[i - 1]!.map((value, j) => value - drops[i]!.row[j]!));
  }
  const mean = heights.reduce((sum, height) => sum + height, 0) / count;
  const meanRow = new Float64Array(count + 1).map(
    (_, j) => jacobian.reduce((sum, row) => sum + row[j]!, 0) / count,
  );
  return {
    heights: heights.map((height) => height - mean),
    jacobian: jacobian.map((row) => row.map((value, j) => value - meanRow[j]!)),
  };
}

/** How far behind one knife another passes, mm; a whole period behind itself. */
function gapBetween({ positions, period }: Feed, before: number, after: number): number {
  const gap = positions[after]! - positions[before]!;
  return gap > 0 ? gap : gap + period;
}

/** A knife that leaves no mark among those that do, and by how much it must lie below their line. */
export interface HiddenMark {
  readonly knife: number;
  readonly before: number;
  readonly after: number;
  /** The share of `after` in the line between the two; that of `before` is the rest. */
  readonly share: number;
  /** mm */
  readonly depth: number;
  /** mm of height for each mm of width of a mark of its own. */
  readonly perWidth: number;
}

/** The knives that are not in an order of marks, and what hides each of them. */
export function hiddenMarks(feed: Feed, order: MarkOrder): HiddenMark[] {
  const { positions, radius } = feed;
  return order.flatMap((before, i) => {
    const after = order[(i + 1) % order.length]!;
    const gap = gapBetween(feed, before, after);
    const hidden: HiddenMark[] = [];
    const next = (knife: number) => (knife + 1) % positions.length;
    for (let knife = next(before); knife !== after; knife = next(knife)) {
      const along = gapBetween(feed, before, knife);
      const share = along / gap;
      const product = along * (gap - along);
      const depth = product / (2 * radius);
      hidden.push({ knife, before, after, share, depth, perWidth: product / (radius * gap) });
    }
    return hidden;
  });
}

/** How high a hidden knife stands above the line that hides it, as a sum of heights. */
export function aboveLine(hidden: HiddenMark): HeightSum['terms'] {
  const line = [...lineShares(hidden)].map(([knife, share]) => ({ knife, weight: -share }));
  return [{ knife: hidden.knife, weight: 1 }, ...line];
}

/**
 * Every order of marks in which so many knives may follow each other, the first mark first, that
 * agrees with the knives that are known; null where there are more than `most`.
 *
 * @param known the knife of each mark, null where it is not known
 */
export function possibleOrders(
  knives: number,
  known: readonly (number | null)[],
  most: number,
): MarkOrder[] | null {
  const marks = known.length;
  const found: number[][] = [];
  const extend = (order: readonly number[], passed: number): boolean => {
    const place = order.length;
    if (place === marks) {
      found.push([...order]);
      return found.length <= most;
    }
    // As many knives as there are marks to come must be left to pass.
    for (let step = 1; passed + step <= knives - (marks - place); step++) {
      const knife = (order[place - 1]! + step) % knives;
      if (known[place] !== null && known[place] !== knife) continue;
      if (!extend([...order, knife], passed + step)) return false;
    }
    return true;
  };
  for (let first = 0; first < knives; first++) {
    if (known[0] !== null && known[0] !== first) continue;
    if (!extend([first], 0)) return null;
  }
  return found;
}
