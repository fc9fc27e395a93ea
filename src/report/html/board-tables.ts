import type { Cut } from '../../boards/reading.js';
import { type NumberedPlace, scoopsOf } from '../svg/board-rows.js';
import { html, type Markup } from './markup.js';

/** Widths in mm as the style sheet has them: what stands left of the cells, and one cell. */
export const COLUMN = { y: 11, knife: 11.5, cell: 20 } as const;
/** Between tables side by side, mm. */
export const TABLE_GAP = 4.5;
/** The narrower of A4 and Letter within its margins, mm. */
const PAPER_WIDTH = 184;
/** So many rows and their head fit the lower of the two papers. */
const MOST_ROWS = 26;
const MOST_COLUMNS = Math.floor((PAPER_WIDTH - COLUMN.y - COLUMN.knife) / COLUMN.cell);

/** A board with its places in the order of measuring. */
export interface TabledBoard {
  readonly places: readonly NumberedPlace[];
  /** Cut already, for readings of before. */
  readonly isAgain: boolean;
}

/** One table of a board: all of it, or as much as fits a page. */
interface TablePiece {
  readonly board: string;
  /** How it is cut, in words. */
  readonly how: string;
  readonly hasKnives: boolean;
  readonly isContinued: boolean;
  readonly stations: readonly number[];
  /** One a scoop, in the order of measuring: its places, one a station. */
  readonly rows: readonly (readonly NumberedPlace[])[];
}

/**
 * Tables to write into, one a board, side by side where they have room. A board that is too long or
 * wide for a page is parted into several tables with heads of their own, so that no printer has to
 * decide where.
 */
export function boardTables(
  boards: readonly TabledBoard[],
  position: (mm: number) => string,
): Markup[] {
  const pieces = boards.flatMap(piecesOf);
  return sideBySide(pieces).map(
    (row) => html`<div class="tables">${row.map((piece) => table(piece, position))}</div>`,
  );
}

function piecesOf({ places, isAgain }: TabledBoard): TablePiece[] {
  const { board, cut } = places[0]!;
  const stations = [...new Set(places.map(({ x }) => x))];
  return evenParts(scoopsOf(places), MOST_ROWS).flatMap((rows, i) =>
    evenParts(stations, MOST_COLUMNS).map((columns, part) => ({
      board,
      how: isAgain ? 'measure again, it is cut already' : CUTS[cut],
      hasKnives: cut !== 'full',
      isContinued: part > 0 || i > 0,
      stations: columns,
      rows: rows.map((row) => row.filter(({ x }) => columns.includes(x))),
    })),
  );
}

/** A list in as few parts as will do, about equally long. */
function evenParts<Item>(items: readonly Item[], most: number): Item[][] {
  const size = Math.ceil(items.length / Math.ceil(items.length / most));
  const starts = items.flatMap((_, i) => (i % size === 0 ? [i] : []));
  return starts.map((start) => items.slice(start, start + size));
}

function sideBySide(pieces: readonly TablePiece[]): TablePiece[][] {
  const rows: TablePiece[][] = [];
  let room = 0;
  for (const piece of pieces) {
    const width = widthOf(piece);
    const last = rows.at(-1);
    if (last && areAlike(last[0]!, piece) && room >= width + TABLE_GAP) {
      last.push(piece);
      room -= width + TABLE_GAP;
    } else {
      rows.push([piece]);
      room = PAPER_WIDTH - width;
    }
  }
  return rows;
}

/** About equally long: a short table beside a long one would leave most of its place empty. */
function areAlike(first: TablePiece, other: TablePiece): boolean {
  const [few, many] = [first.rows.length, other.rows.length].sort((a, b) => a - b);
  return few! * 2 > many!;
}

function widthOf({ hasKnives, stations }: TablePiece): number {
  return COLUMN.y + (hasKnives ? COLUMN.knife : 0) + stations.length * COLUMN.cell;
}

const CUTS: Readonly<Record<Cut, string>> = {
  hand: 'cut by hand',
  proud: 'under power, one knife leading',
  full: 'under power',
};

function table(piece: TablePiece, position: (mm: number) => string): Markup {
  const { board, how, hasKnives, isContinued, stations, rows } = piece;
  const more = isContinued ? ', continued' : '';
  return html`<table>
<caption><b>Board ${board}</b>${more}<br>${how}</caption>
<thead><tr><th scope="col" class="y">y</th>${
    hasKnives ? html`<th scope="col" class="knife">knife</th>` : null
  }${stations.map((x) => html`<th scope="col" class="cell">x ${position(x)}</th>`)}</tr></thead>
<tbody>
${rows.map(
  (row) =>
    html`<tr><th scope="row" class="y">${position(row[0]!.y)}</th>${
      hasKnives ? html`<td class="knife">${row[0]!.knife}</td>` : null
    }${row.map(blankCell)}</tr>`,
)}
</tbody>
</table>`;
}

/** A place to write a thickness into, with its number in the order of measuring. */
function blankCell({ index }: NumberedPlace): Markup {
  return html`<td class="cell"><small>${index + 1}</small><span data-cell="${index}"></span></td>`;
}
