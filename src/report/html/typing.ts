import type { Machine } from '../../machine/machine.js';
import type { Plan } from '../../record/plan.js';
import { positionIn } from '../../units/position.js';
import { boardMap, boardNames } from '../svg/board-map.js';
import { type NumberedPlace, numbered } from '../svg/board-rows.js';
import { isMirrored } from '../svg/machine-drawing.js';
import { html, type Markup } from './markup.js';
import { advice, unitWords } from './paper.js';
import type { SheetData } from './sheet-data.js';

/**
 * The sheet as it is typed into: everything stands here from the beginning, the page's program shows,
 * hides and fills it. Without that program it stays hidden and the paper is shown.
 */
export function typing(data: SheetData, plan: Plan): Markup {
  return html`<div id="typing" hidden>
${heading(data)}
<div class="here">
${measuring(data)}
${finished()}
${maps(data)}
</div>
<div class="whole">
${saving(data)}
<details id="advice"><summary>How to measure, and cautions</summary>
${advice(plan)}
</details>
${list(data)}
</div>
<p id="said" class="unseen" role="status"></p>
</div>`;
}

function heading({ machine, places }: SheetData): Markup {
  return html`<header>
<h1 class="unseen">Measurement sheet</h1>
<p class="machine">${machine.name}</p>
<p class="count" id="measured">0 of ${places.length} measured</p>
<progress id="progress" max="${places.length}" value="0" aria-label="Places measured"></progress>
</header>
<div id="kept" class="note" role="status" hidden><p id="kept-words"></p>
<button type="button" id="kept-fresh">Start a new sheet</button>
<button type="button" id="kept-on">Carry on</button></div>
<p id="unkept" class="note" role="status" hidden></p>`;
}

function measuring({ unit, places }: SheetData): Markup {
  const ofPlace = ['board', 'knife', 'x', 'y'].map(
    (what) => html`<div class="of-${what}"><dt>${what}</dt><dd id="at-${what}"></dd></div>`,
  );
  return html`<section id="measuring" aria-labelledby="turn">
<h2 id="turn">Place 1 of ${places.length}</h2>
<dl class="where">${ofPlace}</dl>
<form id="form" novalidate>
<label for="reading" id="reading-label">Thickness in ${unitWords(unit)}</label>
<div class="typed"><input id="reading" name="reading" type="text" inputmode="decimal" enterkeyhint="next" autocomplete="off" autocapitalize="off" spellcheck="false" aria-describedby="where-to tries had problem">
<button type="submit" class="main">Enter</button></div>
${unit === 'in' ? fractionKeys() : null}
<p id="where-to"></p>
<p id="tries" hidden></p>
<p id="had" hidden></p>
</form>
<p id="problem" class="problem" role="alert"></p>
<div id="question" class="question">
<p id="question-words" role="alert"></p>
<div class="buttons" id="answers" hidden>
<button type="button" id="again" class="main">Measure again</button>
<button type="button" id="keep">Keep it</button>
<button type="button" id="earlier" hidden></button>
</div></div>
<div class="buttons"><button type="button" id="back">Back</button>
<button type="button" id="skip">Skip</button>
<button type="button" id="tries-again" hidden>Begin this scoop again</button>
<button type="button" id="erase" hidden>Erase</button></div>
${scoopHelper(places)}
</section>`;
}

/** A phone's decimal keypad has neither. */
function fractionKeys(): Markup {
  return html`<div class="buttons"><button type="button" data-key="/">/ <span class="unseen">fraction stroke</span></button>
<button type="button" data-key=" ">space</button></div>`;
}

function scoopHelper(places: SheetData['places']): Markup | null {
  if (!places.some(({ cut }) => cut === 'hand')) return null;
  return html`<label class="choice"><input type="checkbox" id="takes-tries"> Three tries a scoop, the smallest counts</label>`;
}

function finished(): Markup {
  return html`<section id="finished" aria-labelledby="finished-words" hidden>
<h2 id="finished-words" tabindex="-1">Every place is measured</h2>
<p>Save the readings now.</p>
<button type="button" id="last">Back to the last place</button>
</section>
<section id="review" aria-labelledby="review-words" hidden>
<h2 id="review-words">Look at these again</h2>
<p>They disagree with the other readings. Measure them again before the machine is put together.</p>
<ul id="review-list"></ul>
</section>`;
}

function maps({ machine, places }: SheetData): Markup {
  return html`<div id="maps">${ofBoards(places).map(([board, own]) =>
    boardMap({
      board,
      places: own,
      ends: endNames(machine),
      isMirrored: isMirrored(machine),
    }),
  )}</div>`;
}

function endNames({ adjusters }: Machine): readonly [string, string] {
  return adjusters.names;
}

function saving({ saveAs, command }: SheetData): Markup {
  return html`<section aria-labelledby="saving">
<h2 id="saving">Save</h2>
<button type="button" id="save" class="main wide">Save ${saveAs}</button>
<p id="saved" role="status"></p>
<p>Then run, where the machine file is:</p>
<p><code>${command}</code></p>
<p class="small">A sheet that is filled only in part can be saved too: places not measured stay blank.</p>
<details id="copying"><summary>Where saving does not work: copy the text</summary>
<label for="csv">The readings as ${saveAs}</label>
<textarea id="csv" readonly rows="8" spellcheck="false"></textarea>
<button type="button" id="copy">Copy</button>
<p id="copied" role="status"></p>
</details>
<div class="buttons"><button type="button" id="print">Print</button>
<button type="button" id="fresh">Start afresh</button></div>
<dialog id="clearing" aria-labelledby="clearing-words">
<p id="clearing-words"></p>
<div class="buttons"><button type="button" id="clear-no" class="main">Keep them</button>
<button type="button" id="clear-yes">Clear them</button></div>
</dialog>
</section>`;
}

function list({ places, unit }: SheetData): Markup {
  const position = positionIn(unit);
  return html`<section aria-labelledby="list">
<h2 id="list">All places</h2>
${ofBoards(places).map(
  ([
    board,
    own,
  ]) => html`<details data-list="${board}"><summary>Board ${board} <span class="tally" data-tally="${board}"></span></summary>
<ol class="places">
${own.map((place) => listed(place, position))}
</ol></details>`,
)}
</section>`;
}

function listed(
  { index, board, cut, knife, x, y }: NumberedPlace,
  position: (mm: number) => string,
): Markup {
  const by = cut === 'full' ? '' : `knife ${knife}, `;
  return html`<li><button type="button" data-jump="${index}"><span><span class="unseen">Place </span>${index + 1}</span> <span><span class="unseen">board ${board}, </span>${by}x ${position(x)}, y ${position(y)}</span> <b data-value="${index}"></b></button></li>`;
}

function ofBoards(places: SheetData['places']): [string, NumberedPlace[]][] {
  const all = numbered(places);
  return boardNames(places).map((name) => [name, all.filter(({ board }) => board === name)]);
}
