import { type HeightsBefore, likeliestOrder } from '../decide/mark-order.js';
import { afterHeights, unknownHeights } from '../decide/told-heights.js';
import type { Machine } from '../machine/machine.js';
import type { HiddenKnife, MarksRow } from '../model/instruments.js';
import { type MarkOrder, possibleOrders } from '../model/marks.js';
import type { Notice } from '../notices/notice.js';
import type { MarkSequence, MarkSequences } from './mark-sequences.js';
import { hiddenKnives, marksRows } from './marks-rows.js';

/** A row of ridges, and whose its marks are. */
export interface SettledSequence {
  readonly sequence: MarkSequence;
  /** Null where nothing tells. */
  readonly order: MarkOrder | null;
  /** Whether it agrees with no height that is known, whoever's the marks are. */
  readonly isContradicted: boolean;
  /** What it says of heights; nothing while it is not known whose the marks are. */
  readonly rows: readonly MarksRow[];
  readonly hidden: readonly HiddenKnife[];
}

/** With this probability a label is settled by heights that are known from elsewhere. */
const SETTLED = 0.99;
/** Heights that agree so seldom by chance do not belong to the marks. */
const CONTRADICTS_BELOW = 1e-4;
/** More orders than this are not tried one by one. */
const MOST_ORDERS = 20_000;

/** What is known of all knives at an x before the marks; null where it is not. */
export type Before = (x: number) => HeightsBefore | null;

/**
 * Finds whose the marks are, at one station: by their labels, else by heights that are known, with
 * at least 99 % probability. What one board settles helps with the next.
 *
 * @param sequences of one station
 */
export function settleStation(
  machine: Machine,
  sequences: readonly MarkSequence[],
  noise: MarkSequences['noise'],
  before: Before,
): { readonly settled: readonly SettledSequence[]; readonly notices: readonly Notice[] } {
  const earlier = before(sequences[0]!.x);
  let heights = earlier ?? unknownHeights(machine.block.knives.length);
  let hasHeights = earlier !== null;
  const orders = new Map<MarkSequence, MarkOrder>();
  const notices = new Map<MarkSequence, Notice>();
  const candidates = new Map(
    sequences.map((sequence) => [sequence, ordersOf(machine, sequence)] as const),
  );
  const settle = (sequence: MarkSequence, order: MarkOrder) => {
    orders.set(sequence, order);
    notices.delete(sequence);
    for (const row of marksRows(machine, sequence, order, noise.sd)) {
      heights = afterHeights(heights, { ...row, sd: row.scale * noise.sd });
      hasHeights = true;
    }
  };
  for (const [sequence, { possible }] of candidates) {
    if (possible?.length === 1) settle(sequence, possible[0]!);
  }
  for (let again = true; again; ) {
    again = false;
    for (const [sequence, { possible }] of candidates) {
      if (orders.has(sequence) || !possible || possible.length < 2 || !hasHeights) continue;
      const likely = likeliestOrder(machine, sequence.pattern, noise.sd, possible, heights);
      if (likely.pValue < CONTRADICTS_BELOW) {
        notices.set(sequence, contradicts(sequence));
      } else if (likely.probability >= SETTLED) {
        settle(sequence, likely.order);
        again = true;
      }
    }
  }
  return {
    settled: sequences.map((sequence) => ({
      ...settled(machine, sequence, orders.get(sequence) ?? null, noise.sd),
      isContradicted: notices.has(sequence),
    })),
    notices: [
      ...[...candidates.values()].flatMap(({ notice }) => notice ?? []),
      ...notices.values(),
    ],
  };
}

function settled(
  machine: Machine,
  sequence: MarkSequence,
  order: MarkOrder | null,
  sd: number,
): Omit<SettledSequence, 'isContradicted'> {
  if (!order) return { sequence, order, rows: [], hidden: [] };
  return {
    sequence,
    order,
    rows: marksRows(machine, sequence, order, sd),
    hidden: hiddenKnives(machine, sequence, order),
  };
}

/** The orders that the labels leave possible, null when too many; an error when they leave none. */
function ordersOf(
  machine: Machine,
  { labels, ridges, board }: MarkSequence,
): { readonly possible: readonly MarkOrder[] | null; readonly notice: Notice | null } {
  const count = machine.block.knives.length;
  const possible = possibleOrders(count, labels, MOST_ORDERS);
  if (possible === null || possible.length > 0) return { possible, notice: null };
  const mirrored = labels.map((knife) => (knife === null ? null : count - 1 - knife));
  const backwards = possibleOrders(count, mirrored, MOST_ORDERS)?.length !== 0;
  const { file, line } = ridges.find(({ knife }) => knife !== null)!;
  const order = machine.block.knives.join(', ');
  const notice: Notice = {
    code: backwards ? 'labels-backwards' : 'labels-out-of-order',
    severity: 'error',
    message: backwards
      ? `the labels of board ${board} run the wrong way: along the board from its leading end the knives follow each other as they pass a fixed point`
      : `the labels of board ${board} follow each other as the knives never do`,
    file,
    line,
    expected: `the order ${order}, and round again`,
    hint: backwards
      ? 'measure y from the leading end, or list the knives in the machine file in the order in which they pass'
      : 'correct the labels, or leave them empty where you are not sure',
  };
  return { possible: [], notice };
}

function contradicts({ ridges, board }: MarkSequence): Notice {
  const { file, line } = ridges[0]!;
  return {
    code: 'marks-contradict-heights',
    severity: 'warning',
    message: `the marks of board ${board} do not agree with the heights known of the knives, however they are named: both cannot be right`,
    file,
    line,
    hint: 'check that nothing was turned between the two, that y is measured from the leading end, and the feed and the diameter in the machine file; label the ridges',
  };
}
