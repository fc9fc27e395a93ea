import type { Place } from '../../sheet/places.js';
import { html, type Markup } from '../html/markup.js';
import { ascending, type NumberedPlace, scoopsOf } from './board-rows.js';
import { clipped } from './machine-drawing.js';

const CELL = 20;
const GAP = 2;
/** A cell's size on the screen over that in the drawing. */
const SHOWN = 1.4;
/** So many places along a board are shown in full on the smallest screen; longer ones can be scrolled. */
const MOST_ACROSS = 16;

/** A board's places as a screen shows them: how they are marked follows from what was measured. */
export interface MappedBoard {
  readonly board: string;
  readonly places: readonly NumberedPlace[];
  /** What the ends across are called, front first. */
  readonly ends: readonly [string, string];
  readonly isMirrored: boolean;
}

/**
 * A small map of one board, lying on its side with the leading end to the left: the drawing of the
 * machine a quarter turn round. Each place has a group of its own, named by `data-place`.
 */
export function boardMap({ board, places, ends, isMirrored }: MappedBoard): Markup {
  const scoops = scoopsOf(places).sort(([a], [b]) => a!.y - b!.y);
  const stations = ascending(places.map(({ x }) => x));
  // A quarter turn to the left puts the drawing's left side at the bottom.
  if (!isMirrored) stations.reverse();
  const [width, height] = [scoops.length * CELL, stations.length * CELL];
  const isLong = scoops.length > MOST_ACROSS;
  const [bottom, top] = isMirrored ? [ends[1], ends[0]] : ends;
  const hasSides = stations.length > 1;
  return html`<div class="map" data-board="${board}" hidden>
<p class="side"><span>← leading end</span>${hasSides ? html`<span>${top}</span>` : null}</p>
<div class="window${isLong ? null : html` short`}"${isLong ? html` tabindex="0" role="group" aria-label="Map of the board"` : null}>
<svg width="${SHOWN * width}" height="${SHOWN * height}" viewBox="0 0 ${width} ${height}" aria-hidden="true">
${scoops.flatMap((scoop, column) =>
  scoop.map((place) => cell(place, column, stations.indexOf(place.x))),
)}
</svg></div>
${hasSides ? html`<p class="side"><span></span><span>${bottom}</span></p>` : null}
</div>`;
}

function cell({ index, knife, cut }: NumberedPlace, column: number, row: number): Markup {
  const [x, y] = [column * CELL + GAP / 2, row * CELL + GAP / 2];
  const side = CELL - GAP;
  const name = cut === 'full' ? '+' : clipped(knife, 2);
  return html`<g data-place="${index}"><rect x="${x}" y="${y}" width="${side}" height="${side}" rx="3"/>
<text x="${x + side / 2}" y="${y + 13}" text-anchor="middle">${name}</text></g>`;
}

/** The boards that places lie on, in their order. */
export function boardNames(places: readonly Place[]): string[] {
  return [...new Set(places.map(({ board }) => board))];
}
