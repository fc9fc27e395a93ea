import type { Machine } from '../../machine/machine.js';
import type { PlannedBoard } from '../../record/plan.js';
import type { Place } from '../../sheet/places.js';
import { positionIn } from '../../units/position.js';
import { html, type Markup } from '../html/markup.js';
import { ascending, type BoardGroup, type BoardRow, boardRows } from './board-rows.js';

/** All in the drawing's own units; 680 of them are as wide as a page. */
const WIDTH = 680;
const LEFT = 64;
const RIGHT = 48;
const BLOCK_TOP = 58;
const BLOCK_HEIGHT = 30;
const FIRST_ROW = 124;
const LEVEL = 13;
/** About as wide as a letter or digit is. */
const LETTER = 7;
/** Of a row of boards beyond its levels: the boards' names and their ends. */
const ROW_EXTRA = 40;
/** A drawing taller than this goes on in another, so that each fits a page. */
const TALLEST = 780;

export interface DrawnPlan {
  readonly machine: Machine;
  readonly boards: readonly PlannedBoard[];
  readonly places: readonly Place[];
  readonly unit: 'mm' | 'in';
}

/** Where things lie in a drawing: x across in mm to the drawing's units. */
interface Scale {
  readonly across: (mm: number) => number;
  readonly position: (mm: number) => string;
}

/**
 * The machine seen from above, boards behind one another below its block as they would go in: places
 * across in proportion, along the boards only in order. Several drawings where one page is too small.
 */
export function machineDrawings(plan: DrawnPlan): Markup[] {
  const rows = boardRows(plan.boards, plan.places);
  const sheets: BoardRow[][] = [];
  let height = 0;
  for (const row of rows) {
    height += heightOf(row);
    if (sheets.length === 0 || FIRST_ROW + height > TALLEST) {
      sheets.push([row]);
      height = heightOf(row);
    } else sheets.at(-1)!.push(row);
  }
  return sheets.map((sheet, i) => drawing(plan, sheet, i));
}

function heightOf({ levels }: BoardRow): number {
  return levels.length * LEVEL + ROW_EXTRA;
}

function drawing(plan: DrawnPlan, rows: readonly BoardRow[], number: number): Markup {
  const { machine } = plan;
  const scale = scaleOf(plan);
  const stations = ascending(rows.flatMap(({ groups }) => groups.flatMap(stationsOf)));
  let bottom = FIRST_ROW;
  const tops = rows.map((row) => {
    bottom += heightOf(row);
    return bottom - heightOf(row);
  });
  const title = `drawing-${number + 1}`;
  return html`<svg class="drawing" viewBox="0 0 ${WIDTH} ${bottom}" role="img" aria-labelledby="${title}">
<title id="${title}">${spokenDrawing(rows, machine, scale)}</title>
${stations.map((x) => stationLine(x, bottom, scale))}
${block(machine, scale)}
${stationNames(stations, scale)}
${feedArrow()}
${rows.map((row, i) => rowOfBoards(row, tops[i]!, scale))}
</svg>`;
}

/** Whoever stands at the infeed sees the front end on the left, unless its name says otherwise. */
export function isMirrored({ adjusters }: Machine): boolean {
  return /^right/i.test(adjusters.names[0]);
}

function scaleOf({ machine, boards, unit }: DrawnPlan): Scale {
  const longest = Math.max(machine.block.length, ...boards.flatMap(({ x }) => x));
  const factor = (WIDTH - LEFT - RIGHT) / longest;
  const mirrored = isMirrored(machine);
  const across = (mm: number) => hundredths(LEFT + (mirrored ? longest - mm : mm) * factor);
  return { across, position: positionIn(unit) };
}

/** Finer than any printer: digits beyond would only make the page larger. */
function hundredths(units: number): number {
  return Math.round(units * 100) / 100;
}

function stationsOf({ places }: BoardGroup): number[] {
  return ascending(places.map(({ x }) => x));
}

function spokenDrawing(
  rows: readonly BoardRow[],
  { adjusters }: Machine,
  { position }: Scale,
): string {
  const boards = rows.flatMap(({ groups }) =>
    groups.map(
      (group) => `${group.names.join(', ')} at x ${stationsOf(group).map(position).join(', ')}`,
    ),
  );
  return `The machine from above, from ${adjusters.names.join(' to ')}: ${boards.join('; ')}`;
}

function stationLine(x: number, bottom: number, { across }: Scale): Markup {
  return html`<line class="station" x1="${across(x)}" y1="${BLOCK_TOP - 8}" x2="${across(x)}" y2="${bottom}"/>`;
}

/** The cutter block from its front end at x 0, with its adjusters and the ends' names. */
function block(machine: Machine, { across }: Scale): Markup {
  const { at, names } = machine.adjusters;
  const [from, to] = [across(0), across(machine.block.length)];
  const middle = BLOCK_TOP + BLOCK_HEIGHT / 2;
  const left = Math.min(from, to);
  const [outer, inner] = isMirrored(machine) ? ['start', 'end'] : ['end', 'start'];
  const away = isMirrored(machine) ? 8 : -8;
  return html`<rect class="block" x="${left}" y="${BLOCK_TOP}" width="${Math.abs(to - from)}" height="${BLOCK_HEIGHT}" rx="4"/>
<text class="on-block" x="${(from + to) / 2}" y="${middle + 4}" text-anchor="middle">cutter block</text>
<path class="mark" d="M${from} ${BLOCK_TOP + BLOCK_HEIGHT + 3}l-6 11h12z"/>
<rect class="ground" x="${from - 30}" y="${BLOCK_TOP + BLOCK_HEIGHT + 16}" width="60" height="14"/>
<text x="${from}" y="${BLOCK_TOP + BLOCK_HEIGHT + 27}" text-anchor="middle">mark, x 0</text>
<text x="${from + away}" y="${middle + 4}" text-anchor="${outer}">${clipped(names[0], 8)}</text>
<text x="${to - away}" y="${middle + 4}" text-anchor="${inner}">${clipped(names[1], 8)}</text>
${at.map((x) => html`<circle class="adjuster" cx="${across(x)}" cy="${middle}" r="6"/><path class="line" d="M${across(x) - 4} ${middle}h8"/>`)}`;
}

/** The stations' x above the block, in two rows where they would touch each other. */
function stationNames(stations: readonly number[], { across, position }: Scale): Markup[] {
  const inOrder = stations.toSorted((a, b) => across(a) - across(b));
  const gaps = inOrder.slice(1).map((x, i) => across(x) - across(inOrder[i]!));
  const isCrowded = Math.min(...gaps, WIDTH) < 42;
  return inOrder.map((x, i) => {
    const y = BLOCK_TOP - 14 - (isCrowded && i % 2 === 1 ? 15 : 0);
    return html`<text class="figure" x="${across(x)}" y="${y}" text-anchor="middle">x ${position(x)}</text>`;
  });
}

function feedArrow(): Markup {
  const x = WIDTH - 16;
  return html`<path class="line" d="M${x} ${FIRST_ROW + 56}v-46m-5 9l5 -9l5 9"/>
<text x="${x - 4}" y="${FIRST_ROW + 70}" text-anchor="middle">feed</text>`;
}

function rowOfBoards({ groups, levels }: BoardRow, top: number, scale: Scale): Markup {
  const first = top + 30;
  const along = (y: number) => first + levels.indexOf(y) * LEVEL;
  const edge = Math.min(...groups.flatMap(({ from, to }) => [from, to].map(scale.across)));
  const [names, side] = [levels.map(scale.position), edge - 6];
  const widest = Math.max(...names.map((name) => name.length)) * LETTER;
  return html`<rect class="ground" x="${hundredths(side - widest)}" y="${first - LEVEL - 6}" width="${widest}" height="${along(levels.at(-1)!) - first + LEVEL + 12}"/>
<text x="${side}" y="${first - LEVEL + 3}" text-anchor="end">y</text>
${levels.map((y, i) => html`<text class="figure" x="${side}" y="${along(y) + 4}" text-anchor="end">${names[i]!}</text>`)}
${groups.map((group) => board(group, top + 16, along, scale))}`;
}

function board(
  { names, places, from, to }: BoardGroup,
  top: number,
  along: (y: number) => number,
  { across }: Scale,
): Markup {
  const bottom = Math.max(...places.map(({ y }) => along(y))) + 12;
  const [left, right] = [across(from), across(to)].sort((a, b) => a - b) as [number, number];
  const middle = hundredths((left + right) / 2);
  const name = clipped(names.join(', '), Math.max(4, (right - left) / LETTER));
  return html`<rect class="board" x="${left}" y="${top}" width="${hundredths(right - left)}" height="${bottom - top}"/>
<rect class="ground" x="${middle - (name.length * LETTER) / 2}" y="${top - 14}" width="${name.length * LETTER}" height="13"/>
<text class="name" x="${middle}" y="${top - 4}" text-anchor="middle">${name}</text>
${places.map(({ knife, cut, x, y }) => placeMark(across(x), along(y), cut === 'full' ? null : knife))}`;
}

/** A scoop with the knife that cuts it, or a cross where all knives planed. */
function placeMark(x: number, y: number, knife: string | null): Markup {
  if (knife === null) return html`<path class="line" d="M${x - 4} ${y}h8m-4 -4v8"/>`;
  return html`<ellipse class="scoop" cx="${x}" cy="${y}" rx="13" ry="5.8"/>
<text class="knife" x="${x}" y="${y + 3.6}" text-anchor="middle">${clipped(knife, 4)}</text>`;
}

/** A text shortened to about so many characters. */
export function clipped(text: string, most: number): string {
  const characters = [...text];
  if (characters.length <= most) return text;
  return `${characters.slice(0, Math.max(1, Math.floor(most) - 1)).join('')}…`;
}
