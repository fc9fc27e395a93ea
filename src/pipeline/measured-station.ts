import { Decomposition, dot } from '../fit/decomposition.js';
import { tQuantile } from '../fit/distributions.js';
import { solveLinear } from '../fit/least-squares.js';
import { widthsOf } from '../fit/pattern.js';
import { type Feed, feedAt } from '../model/feed.js';
import type { MarksRow } from '../model/instruments.js';
import { heightsOfMarks, type MarkOrder } from '../model/marks.js';
import { allShowWithin, oneFinishesBelow, planedSurface } from '../model/surface.js';
import type { MarksKnife, MarksStation } from '../record/marks.js';
import type { FedMachine } from './fed-machine.js';
import { perInch } from './feed-finish.js';
import type { MarkSequence, MarkSequences } from './mark-sequences.js';
import { marksRows } from './marks-rows.js';
import type { SettledSequence } from './settle-marks.js';

/** Heights of the knives that show at one x, against their mean. */
interface ShownHeights {
  /** Of a sum of heights with a weight a knife; null where the marks do not determine it. */
  sum(weights: readonly number[]): { readonly value: number; readonly u: number } | null;
}

/**
 * What the marks of one station say: of all boards there whose marks are known by their knives, or
 * of the longest row of ridges where none is.
 *
 * @param settled one or more rows of ridges at one x
 */
export function measuredStation(
  machine: FedMachine,
  settled: readonly SettledSequence[],
  noise: MarkSequences['noise'],
): MarksStation {
  const named = settled.filter(({ order }) => order !== null);
  const period = meanPeriod(settled.map(({ sequence }) => sequence));
  const feed = feedAt(machine, period);
  const bare = {
    x: settled.reduce((sum, { sequence }) => sum + sequence.x, 0) / settled.length,
    pitch: period / machine.block.knives.length,
    perRevolution: period,
    hiddenBelow: allShowWithin(feed),
    oneKnifeBelow: oneFinishesBelow(feed),
  };
  return named.length > 0
    ? { ...bare, ambiguous: false, ...namedMarks(machine, feed, named, noise) }
    : { ...bare, ambiguous: true, ...namelessMarks(machine, feed, longest(settled), noise) };
}

/** The feed a revolution, longer rows counting more. */
function meanPeriod(sequences: readonly MarkSequence[]): number {
  let weighted = 0;
  let total = 0;
  for (const { pattern } of sequences) {
    const weight = 1 / dot(pattern.periodFactor, pattern.periodFactor);
    weighted += weight * pattern.period;
    total += weight;
  }
  return weighted / total;
}

/** The row of most ridges. */
function longest(settled: readonly SettledSequence[]): SettledSequence {
  return settled.reduce((most, each) =>
    each.sequence.ridges.length > most.sequence.ridges.length ? each : most,
  );
}

function namedMarks(
  machine: FedMachine,
  feed: Feed,
  named: readonly SettledSequence[],
  noise: MarkSequences['noise'],
) {
  const ids = machine.block.knives;
  const shown = ids.map((_, k) => k).filter((k) => named.some(({ order }) => order!.includes(k)));
  const heights = heightsOfRows(
    ids.length,
    named.flatMap(({ rows }) => rows),
    noise.sd,
  );
  const fromMean = (shares: ReadonlyMap<number, number>) =>
    ids.map((_, k) => (shares.get(k) ?? 0) - (shown.includes(k) ? 1 / shown.length : 0));
  const knives = ids.map((id, knife): MarksKnife => {
    const unknown = { id, offset: null, u: null, U: null, atMost: null };
    if (!shown.includes(knife)) {
      const atMost = limitOf(named, knife, (shares) => heights.sum(fromMean(shares)), noise);
      return { ...unknown, shows: false, atMost };
    }
    // A knife that shows alone is its own mean.
    if (shown.length === 1) return { ...unknown, shows: true, offset: 0 };
    const offset = heights.sum(fromMean(new Map([[knife, 1]])));
    if (!offset) return { ...unknown, shows: true };
    const U = tQuantile(0.975, noise.degreesOfFreedom) * offset.u;
    return { ...unknown, shows: true, offset: offset.value, u: offset.u, U };
  });
  const known = shown.map((knife) => knives[knife]!.offset);
  const isKnown = known.every((offset) => offset !== null);
  return {
    marksPerInch: perInch(shown.length, feed.period),
    ridgeHeight: isKnown ? ridgeHeight(feed, shown, known) : null,
    finishing: shown.map((knife) => ids[knife]!),
    marks: shown.length,
    knives,
    inOrder: inOrder(named, knives),
  };
}

function ridgeHeight(feed: Feed, shown: readonly number[], heights: readonly number[]): number {
  const positions = shown.map((knife) => feed.positions[knife]!);
  return planedSurface(heights, { ...feed, positions }).ridgeHeight;
}

function inOrder(
  named: readonly SettledSequence[],
  knives: readonly MarksKnife[],
): MarksStation['inOrder'] {
  const { sequence, order } = longest(named);
  return widthsOf(sequence.pattern).map((width, mark) => {
    const { id, offset, u } = knives[order![mark]!]!;
    return { id, width, offset, u };
  });
}

/** The least of the boards' one-sided 95 % limits of a knife that left no mark on any. */
function limitOf(
  named: readonly SettledSequence[],
  knife: number,
  sumOf: (shares: ReadonlyMap<number, number>) => ReturnType<ShownHeights['sum']>,
  { degreesOfFreedom }: MarkSequences['noise'],
): number | null {
  const limits = named.flatMap(({ hidden }) => {
    const own = hidden.find((each) => each.knife === knife);
    if (!own) return [];
    const shares = new Map(
      own.terms.filter((term) => term.knife !== knife).map((term) => [term.knife, -term.weight]),
    );
    const line = sumOf(shares);
    return line ? [own.atMost + line.value + tQuantile(0.95, degreesOfFreedom) * line.u] : [];
  });
  return limits.length > 0 ? Math.min(...limits) : null;
}

/** Least squares of what all rows of a station say. */
function heightsOfRows(knives: number, rows: readonly MarksRow[], sd: number): ShownHeights {
  const design = rows.map(({ terms, scale }) => {
    const row = new Float64Array(knives);
    for (const { knife, weight } of terms) row[knife]! += weight / (scale * sd);
    return row;
  });
  const decomposition = Decomposition.of(design, knives);
  const { solution } = solveLinear(
    design,
    rows.map(({ value, scale }) => value / (scale * sd)),
  );
  return {
    sum(weights) {
      const isNothing = weights.every((weight) => Math.abs(weight) < 1e-12);
      if (isNothing) return { value: 0, u: 0 };
      if (!decomposition.determines(weights)) return null;
      const factor = decomposition.factor(weights);
      return { value: dot(weights, solution), u: Math.sqrt(dot(factor, factor)) };
    },
  };
}

/** Marks of which nothing tells whose they are. */
function namelessMarks(
  machine: FedMachine,
  feed: Feed,
  { sequence, possible }: SettledSequence,
  noise: MarkSequences['noise'],
) {
  const ids = machine.block.knives;
  const { slots } = sequence.pattern;
  const offsets = namelessHeights(machine, sequence, noise);
  const knives = ids.map((id, knife): MarksKnife => {
    const unknown = { id, offset: null, u: null, U: null, atMost: null };
    if (!possible) return { ...unknown, shows: null };
    const inThem = possible.filter((order) => order.includes(knife)).length;
    return { ...unknown, shows: inThem === possible.length ? true : inThem === 0 ? false : null };
  });
  const certain = knives.flatMap(({ id, shows }) => (shows ? [id] : []));
  return {
    marksPerInch: perInch(slots, feed.period),
    ridgeHeight: offsets
      ? ridgeHeight(
          feed,
          ids.map((_, knife) => knife),
          offsets.map(({ value }) => value),
        )
      : null,
    finishing: certain.length === slots ? certain : [],
    marks: slots,
    knives,
    inOrder: widthsOf(sequence.pattern).map((width, mark) => ({
      id: null,
      width,
      offset: offsets?.at(mark)?.value ?? null,
      u: offsets?.at(mark)?.u ?? null,
    })),
  };
}

/**
 * Heights in order: known without names where all knives show and are evenly spaced, since then they
 * are the same whichever comes first.
 */
function namelessHeights(
  machine: FedMachine,
  sequence: MarkSequence,
  { sd }: MarkSequences['noise'],
): { readonly value: number; readonly u: number }[] | null {
  const { knives, angles } = machine.block;
  if (sequence.pattern.slots < knives.length || angles !== null || knives.length < 2) return null;
  const order: MarkOrder = knives.map((_, knife) => knife);
  const rows = heightsOfRows(knives.length, marksRows(machine, sequence, order, sd), sd);
  const { heights } = heightsOfMarks(
    machine,
    sequence.pattern.phases,
    sequence.pattern.period,
    order,
  );
  return order.map((knife) => {
    const weights = order.map((k) => (k === knife ? 1 : 0) - 1 / order.length);
    return { value: heights[knife]!, u: rows.sum(weights)!.u };
  });
}
