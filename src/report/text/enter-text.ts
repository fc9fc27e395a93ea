import type { Dialogue, Said } from '../../pipeline/enter-dialogue.js';
import type { Place } from '../../sheet/places.js';
import { positionIn } from '../../units/position.js';
import { spokenIn } from '../../units/spoken.js';
import { CAUTIONS } from '../cautions.js';
import type { Paint } from '../paint.js';
import { wrap } from './layout.js';

type Unit = 'mm' | 'in';

/** What a session of entering is told of. */
export interface EnterText {
  readonly unit: Unit;
  /** The file that is entered into, as its user named it. */
  readonly file: string;
  /** The commands that go on from here, ready to be typed. */
  readonly goOn: string;
  readonly analyse: string;
  readonly plan: string;
  readonly paint: Paint;
}

const CUTS = {
  hand: 'cut by hand, one knife a scoop',
  proud: 'cut under power by the one proud knife',
  full: 'cut under power by all knives',
} as const;

const HELP: readonly (readonly [string, string])[] = [
  ['20.01', 'a thickness; also 20,01, 25/32 in, 1 3/16", 0.7875 in'],
  ['keep', 'keep a reading that is questioned; typing it again does the same'],
  ['back', 'to the place before; go 17 or go H2 to any place or board'],
  ['skip', 'leave this place for now; you are asked for it again at the end'],
  ['clear', 'take the reading away that this place has'],
  ['stop', 'stop here; everything entered is saved'],
];

/** The first lines of a session: what is entered where, and how far it is. */
export function openingLines({ places, entries }: Dialogue, text: EnterText): string[] {
  const boards = new Set(places.map(({ board }) => board)).size;
  const entered = entries.filter((entry) => entry !== null).length;
  const whole = `${count(places.length, 'place')} on ${count(boards, 'board')}`;
  return wrap(
    `${text.file}: ${whole}, ${entered} entered. Type each thickness in ${text.unit === 'mm' ? 'mm' : 'inches'} and press Enter; help shows what else can be typed.`,
  );
}

/** Said when a board begins. */
export function boardLines(
  { places, at, entries }: Dialogue,
  isFirstByHand: boolean,
  { plan, paint }: EnterText,
): string[] {
  if (at === null) return [];
  const { board, cut } = places[at]!;
  const own = places.flatMap((place, i) => (place.board === board ? [i] : []));
  const blank = own.filter((i) => entries[i] === null).length;
  const left = blank === own.length ? count(blank, 'place') : `${blank} of ${own.length} places`;
  return [
    '',
    ...wrap(`Board ${board}: ${CUTS[cut]}; ${left} to measure`).map(paint.strong),
    ...(isFirstByHand ? handLines(plan) : []),
  ];
}

/** Before a block is turned by hand. */
function handLines(plan: string): string[] {
  return [
    ...wrap(`Where a strip has still to be cut: ${plan} says how, step by step.`, '  '),
    ...CAUTIONS.slice(0, 4).flatMap((caution) => wrap(caution, '  - ')),
  ];
}

/** What stands before the cursor. */
export function promptText(
  { places, entries, at, question }: Dialogue,
  { unit }: EnterText,
): string {
  if (at === null) return 'Every place has its reading. Enter ends; go and a number changes one: ';
  const where = `[${at + 1}/${places.length}] ${placeWords(places[at]!, unit)}`;
  const { thickness } = spokenIn(unit);
  if (question) return `${where}: keep ${thickness(question.entry.thickness)}, or measured again: `;
  const entry = entries[at];
  return entry ? `${where} (${thickness(entry.thickness)}): ` : `${where}: `;
}

function placeWords({ board, cut, knife, x, y }: Place, unit: Unit): string {
  const by = cut === 'full' ? '' : `, knife ${knife}`;
  const at = positionIn(unit);
  return `${board}${by}, x ${at(x)} ${unit}, y ${at(y)} ${unit}`;
}

/**
 * What is told after an answer.
 *
 * @param typed the line that was answered with: what is read as it was typed needs no echo
 */
export function saidLines(said: Said, typed: string, text: EnterText): string[] {
  const { thickness } = spokenIn(text.unit);
  switch (said.kind) {
    case 'accepted': {
      const isPlain = said.entry.cell === typed.trim();
      return isPlain ? [] : [`  = ${thickness(said.entry.thickness)}`];
    }
    case 'cleared':
      return ['  The reading is taken away; this place is blank.'];
    case 'skipped':
      return ['  Left blank for now.'];
    case 'questioned':
      return questionLines(said, text);
    case 'contradicted':
      return wrap(
        `${text.paint.doubtful('Look again:')} the readings after it contradict ${said.words}. go ${said.number} to measure it again.`,
        '  ',
      );
    case 'dropped':
      return wrap(`${thickness(said.entry.thickness)} was questioned and is not saved.`, '  ');
    case 'problem':
      return wrap(`Not taken: ${said.text}.`, '  ');
    case 'help':
      return HELP.map(([word, meaning]) => `  ${word.padEnd(7)}${meaning}`);
  }
}

function questionLines(
  { words, isWaiting }: Extract<Said, { kind: 'questioned' }>,
  { paint }: EnterText,
): string[] {
  const next = isWaiting
    ? 'Measure again while the board is in hand, and type what you read; or keep.'
    : 'Kept, since more was typed already; back and another value would replace it.';
  return wrap(`${paint.doubtful('Questioned:')} ${words} ${next}`, '  ');
}

/** Why a session ends. */
export type Ending = 'stopped' | 'end-of-input' | 'interrupted' | 'unsaved';

const ENDINGS = {
  stopped: '',
  'end-of-input': 'End of input. ',
  interrupted: 'Interrupted. ',
  unsaved: 'Stopped. ',
} as const;

/** The last lines: what is saved, what was kept though questioned, and how to go on. */
export function closingLines(
  { places, entries }: Dialogue,
  ending: Ending,
  text: EnterText,
): string[] {
  const blank = entries.filter((entry) => entry === null).length;
  const kept = entries.flatMap((entry, i) => (entry?.isKept ? [i] : []));
  const { thickness } = spokenIn(text.unit);
  const entered = `${places.length - blank} of ${count(places.length, 'place')} entered and saved in ${text.file}.`;
  const doubtful = kept.flatMap((i) =>
    wrap(
      `${i + 1}: ${placeWords(places[i]!, text.unit)}: ${thickness(entries[i]!.thickness)}`,
      '  ',
    ),
  );
  return [
    '',
    ...wrap(ENDINGS[ending] + entered),
    ...(kept.length > 0 ? ['Kept though they disagree with the others:', ...doubtful] : []),
    ...(blank > 0 ? [`To go on:  ${text.goOn}`] : []),
    ...(blank < places.length ? [`${blank > 0 ? 'Then:      ' : 'Next:  '}${text.analyse}`] : []),
  ];
}

function count(number: number, what: string): string {
  return `${number} ${what}${number === 1 ? '' : 's'}`;
}
