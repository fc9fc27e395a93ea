import type { PlannedBoard } from '../../record/plan.js';
import type { Place } from '../../sheet/places.js';

/** Boards of one kind that lie side by side in the drawing, and their levels along. Lengths in mm. */
export interface BoardRow {
  readonly groups: readonly BoardGroup[];
  /** Every y of the row, ascending from the leading ends. */
  readonly levels: readonly number[];
}

/** Boards that lie at the same places across and are cut alike: drawn once, under all their names. */
export interface BoardGroup {
  readonly names: readonly string[];
  /** Of the first of them, with their numbers in the order of measuring. */
  readonly places: readonly NumberedPlace[];
  readonly from: number;
  readonly to: number;
}

export interface NumberedPlace extends Place {
  /** From 0, among all places of the sheet. */
  readonly index: number;
}

/** A board's width on either side of its outer stations where its plan does not tell it, mm. */
const HALF_WIDTH = 15;

/** Numbers places in the order of measuring. */
export function numbered(places: readonly Place[]): NumberedPlace[] {
  return places.map((place, index) => ({ ...place, index }));
}

/** Arranges boards for a drawing: those cut alike share a row as long as none covers another. */
export function boardRows(boards: readonly PlannedBoard[], places: readonly Place[]): BoardRow[] {
  const all = numbered(places);
  const rows: { pattern: string; groups: BoardGroup[] }[] = [];
  const layout = ({ x, y, ...board }: PlannedBoard) =>
    `${x.join()} ${y.join()} ${patternOf(board)}`;
  for (const alike of grouped(boards, layout)) {
    const first = alike[0]!;
    const pattern = patternOf(first);
    const half = halfWidth(
      first,
      boards.filter((other) => patternOf(other) === pattern),
    );
    const group: BoardGroup = {
      names: alike.map(({ board }) => board),
      places: all.filter(({ board }) => board === first.board),
      from: Math.min(...first.x) - half,
      to: Math.max(...first.x) + half,
    };
    const row = rows.find((each) => each.pattern === pattern && hasRoom(each.groups, group));
    if (row) row.groups.push(group);
    else rows.push({ pattern, groups: [group] });
  }
  return rows.map(({ groups }) => ({
    groups,
    levels: ascending(groups.flatMap((group) => group.places.map(({ y }) => y))),
  }));
}

/** What two boards have to share to lie side by side. */
function patternOf({ cut, knives, spacing }: Pick<PlannedBoard, 'cut' | 'knives' | 'spacing'>) {
  return JSON.stringify([cut, knives, spacing]);
}

function hasRoom(groups: readonly BoardGroup[], { from, to }: BoardGroup): boolean {
  return groups.every((other) => other.to < from || to < other.from);
}

function grouped<Item>(items: readonly Item[], keyOf: (item: Item) => string): Item[][] {
  const groups = new Map<string, Item[]>();
  for (const item of items) {
    const same = groups.get(keyOf(item));
    if (same) same.push(item);
    else groups.set(keyOf(item), [item]);
  }
  return [...groups.values()];
}

/** From a board's outer stations to its edges, drawn narrower where neighbours would touch. */
function halfWidth({ width }: PlannedBoard, neighbours: readonly PlannedBoard[]): number {
  const at = ascending(neighbours.flatMap(({ x }) => x));
  const closest = Math.min(...at.slice(1).map((x, i) => x - at[i]!), Number.POSITIVE_INFINITY);
  return Math.min(width === null ? HALF_WIDTH : width / 2, closest / 2.6);
}

/** Different values, the smallest first. */
export function ascending(values: readonly number[]): number[] {
  return [...new Set(values)].sort((a, b) => a - b);
}

/**
 * The scoops of one board in the order of measuring, each with its places across. Places that a plan
 * measures again stand in a scoop of their own.
 */
export function scoopsOf(places: readonly NumberedPlace[]): NumberedPlace[][] {
  const scoops: NumberedPlace[][] = [];
  for (const place of places) {
    const scoop = scoops.at(-1) ?? [];
    const belongs = scoop.some(({ y, knife }) => y === place.y && knife === place.knife);
    if (belongs && scoop.every(({ x }) => x !== place.x)) scoop.push(place);
    else scoops.push([place]);
  }
  return scoops;
}
