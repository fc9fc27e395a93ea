import type { Plan } from '../../record/plan.js';
import { positionIn } from '../../units/position.js';
import { CAUTIONS } from '../cautions.js';
import { boardNames } from '../svg/board-map.js';
import { numbered } from '../svg/board-rows.js';
import { machineDrawings } from '../svg/machine-drawing.js';
import { boardTables } from './board-tables.js';
import { html, type Markup } from './markup.js';
import type { SheetData } from './sheet-data.js';

/** The sheet as it is printed and written on by pen. */
export function paper({ machine, places, unit, command, saveAs }: SheetData, plan: Plan): Markup {
  const all = numbered(places);
  const boards = boardNames(places).map((name) => ({
    places: all.filter(({ board }) => board === name),
    isAgain: plan.boards.some(({ board, again }) => board === name && again === true),
  }));
  return html`<div id="paper">
<header>
<h1>Measurement sheet</h1>
<p class="machine">${machine.name}</p>
<p class="count">${places.length} places on ${boards.length === 1 ? '1 board' : `${boards.length} boards`}, lengths in ${unitWords(unit)}</p>
</header>
<dl class="by-pen">
${['Date', 'Measured by', 'Calipers', 'Knives, set'].map((what) => html`<div><dt>${what}</dt><dd></dd></div>`)}
</dl>
<figure>
${machineDrawings({ machine, boards: plan.boards, places, unit })}
<figcaption>${caption(plan)} In proportion across, not along.</figcaption>
</figure>
<div class="advice">${advice(plan)}</div>
<section class="boards">
<h2>Thickness in ${unitWords(unit)}, ${machine.name}</h2>
${boardTables(boards, positionIn(unit))}
<p class="then">Type the readings into a sheet in CSV or into this page on a screen, save them as ${saveAs}, then run <code>${command}</code></p>
</section>
</div>`;
}

/** How to measure, and what to mind, on paper and on the screen. */
export function advice(plan: Plan): Markup {
  return html`<section><h2>How to measure</h2><ul>${measuring(plan).map(item)}</ul></section>
<section><h2>Cautions</h2><ul>${CAUTIONS.map(item)}</ul></section>`;
}

/** `mm` needs no other word; `in` would be read as one. */
export function unitWords(unit: 'mm' | 'in'): string {
  return unit === 'mm' ? 'mm' : 'inches';
}

function item(text: string): Markup {
  return html`<li>${text}</li>`;
}

function caption({ boards }: Plan): string {
  const cuts = new Set(boards.map(({ cut }) => cut));
  return [
    'Seen from above.',
    ...(cuts.has('hand')
      ? ['Each ellipse is the scoop of one knife, with its number; the order reverses every round.']
      : []),
    ...(cuts.has('full') ? ['A cross is a place to measure on a planed board.'] : []),
    'The slotted circles are the adjusters. Boards at the same place go in one after the other.',
  ].join(' ');
}

/** How to read boards, as much of it as these boards need. */
function measuring({ boards }: Plan): string[] {
  const cuts = new Set(boards.map(({ cut }) => cut));
  const scooped = [
    'Blade or point jaws: flat ones bridge a scoop and read it thick.',
    'At each scoop take three tries a little apart along the board, and write down the smallest: that is its bottom.',
  ];
  return [
    'Write its name and an arrow at its leading end on every board before it goes in.',
    'x: across, from the mark at the front end of the bed. y: along, from the leading end of the board.',
    ...(cuts.has('hand') ? scooped : []),
    ...(cuts.has('full') || cuts.has('proud')
      ? ['On a planed board keep clear of knots, chips and loose fibres, and hold the jaws square.']
      : []),
    'The same calipers and the same light hand throughout; write down what they show, all digits.',
    'Not measured: leave the cell blank. Never guess. The small number in a cell is its turn.',
    'A reading that disagrees with its neighbours: measure again while the board is in hand.',
  ];
}
