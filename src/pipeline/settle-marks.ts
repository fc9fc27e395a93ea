import { afterMarks, heightsAt, type KnifeShapes, unknownShapes } from '../decide/knife-shapes.js';
import { orderAgreement } from '../decide/mark-order.js';
import type { Machine } from '../machine/machine.js';
import { spanOf } from '../model/coordinates.js';
import type { HiddenKnife, MarksRow } from '../model/instruments.js';
import { type MarkOrder, possibleOrders } from '../model/marks.js';
import type { Notice } from '../notices/notice.js';
import type { MarkSequence, MarkSequences } from './mark-sequences.js';
import { hiddenKnives, marksRows } from './marks-rows.js';

/** A row of ridges, and whose its marks are. */
export interface SettledSequence {
  readonly sequence: MarkSequence;
  /** The orders that its labels leave possible; null where there are too many to try. */
  readonly possible: readonly MarkOrder[] | null;
  /** Null where nothing tells. */
  readonly order: MarkOrder | null;
  /** Whether its labels cannot be right, or it agrees with no height known, whoever's the marks. */
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

/** Ways to name all marks are followed up while they are this much less likely than the best. */
const FOLLOWED = 20;
const MOST_FOLLOWED = 64;

/** One way to name the marks of the rows of ridges looked at so far. */
interface Naming {
  readonly log: number;
  readonly shapes: KnifeShapes;
  readonly orders: ReadonlyMap<MarkSequence, MarkOrder>;
  /** Rows of ridges that it does not agree with beyond chance. */
  readonly against: ReadonlySet<MarkSequence>;
}

/** A row of ridges and the orders that its labels leave possible. */
interface Open {
  readonly sequence: MarkSequence;
  readonly possible: readonly MarkOrder[];
}

/**
 * Finds whose the marks are: by their labels, else by heights that are known, with at least 99 %
 * probability. All rows of ridges are looked at together, since what one settles tells of the knives
 * all along the block.
 *
 * @param shapes what is known of the knives' heights from elsewhere; null where that is not all
 */
export function settleMarks(
  machine: Machine,
  { sequences, noise }: MarkSequences,
  shapes: KnifeShapes | null,
): { readonly settled: readonly SettledSequence[]; readonly notices: readonly Notice[] } {
  const asked = sequences.map((sequence) => ({ sequence, ...ordersOf(machine, sequence) }));
  const knives = machine.block.knives.length;
  const labelled = asked.filter(({ possible }) => possible?.length === 1);
  const isTold = shapes || labelled.some(({ possible }) => possible![0]!.length === knives);
  const open = isTold ? asked : labelled;
  const start = shapes ?? unknownShapes(spanOf(machine), knives);
  const found = namingsOf(
    machine,
    noise.sd,
    start,
    open.flatMap(({ sequence, possible }) => (possible ? [{ sequence, possible }] : [])),
  );
  const settledAll = asked.map(({ sequence, possible, notice }) => {
    const { order, isAgainst } = verdictOn(sequence, found);
    const isContradicted = notice !== null || (isAgainst && possible?.length !== 1);
    const told = toldBy(machine, sequence, isContradicted ? null : order, noise.sd);
    return { sequence, possible, ...told, isContradicted, isAgainst };
  });
  return {
    settled: settledAll,
    notices: [
      ...asked.flatMap(({ notice }) => notice ?? []),
      ...settledAll.flatMap(({ sequence, isAgainst }) =>
        isAgainst ? [contradicts(sequence)] : [],
      ),
    ],
  };
}

/** The likeliest ways to name the marks of all rows of ridges, rows with few orders first. */
function namingsOf(
  machine: Machine,
  sd: number,
  shapes: KnifeShapes,
  open: readonly Open[],
): readonly Naming[] {
  const inTurn = open.toSorted((a, b) => a.possible.length - b.possible.length);
  let namings: readonly Naming[] = [{ log: 0, shapes, orders: new Map(), against: new Set() }];
  for (const { sequence, possible } of inTurn) {
    const next = namings.flatMap((naming) => {
      const before = heightsAt(naming.shapes, sequence.x);
      return possible.map((order) => {
        const { log, pValue } = orderAgreement(machine, sequence.pattern, sd, order, before);
        return { naming, order, pValue, log: naming.log + log };
      });
    });
    const best = Math.max(...next.map(({ log }) => log));
    namings = next
      .filter(({ log }) => log > best - FOLLOWED)
      .toSorted((a, b) => b.log - a.log)
      .slice(0, MOST_FOLLOWED)
      .map(({ naming, order, pValue, log }) => {
        const orders = new Map([...naming.orders, [sequence, order]]);
        if (pValue < CONTRADICTS_BELOW) {
          return { ...naming, log, orders, against: new Set([...naming.against, sequence]) };
        }
        const rows = marksRows(machine, sequence, order, sd);
        const told = rows.reduce((known, row) => afterMarks(known, row, sd), naming.shapes);
        return { ...naming, log, orders, shapes: told };
      });
  }
  return namings;
}

/** The order of one row of ridges that all likely namings together settle; null where none does. */
function verdictOn(
  sequence: MarkSequence,
  namings: readonly Naming[],
): { readonly order: MarkOrder | null; readonly isAgainst: boolean } {
  const [best] = namings;
  const order = best?.orders.get(sequence);
  if (!best || !order) return { order: null, isAgainst: false };
  const key = order.join();
  let same = 0;
  let total = 0;
  for (const { log, orders } of namings) {
    const weight = Math.exp(log - best.log);
    total += weight;
    if (orders.get(sequence)!.join() === key) same += weight;
  }
  const isAgainst = best.against.has(sequence);
  return { order: same >= SETTLED * total ? order : null, isAgainst };
}

/** What a row of ridges says of heights once it is known whose its marks are. */
function toldBy(
  machine: Machine,
  sequence: MarkSequence,
  order: MarkOrder | null,
  sd: number,
): Pick<SettledSequence, 'order' | 'rows' | 'hidden'> {
  if (!order) return { order, rows: [], hidden: [] };
  return {
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
