import type { Result } from '../../record/result.js';
import type { Paint } from '../paint.js';
import type { Figures } from './figures.js';
import { INSTRUMENT_NAMES } from './instruments.js';
import { sentence } from './layout.js';

/** What is wrong in one line, or that nothing is and the block is best left alone. */
export function headline(result: Result, figures: Figures, paint: Paint): string {
  const disagree = result.notices.some(({ code }) => code === 'boards-disagree');
  if (disagree) {
    return paint.bad('The boards and their description disagree: no height can be trusted.');
  }
  const contrary = result.instruments.filter(({ agrees }) => agrees === false);
  if (contrary.length > 0) {
    const names = contrary.map(({ kind }) => `the ${INSTRUMENT_NAMES[kind]}`).join(' and ');
    return paint.bad(`The boards and ${names} contradict each other: turn nothing yet.`);
  }
  const { together, knives, bed } = result.verdicts;
  const bowed = result.notices.find(({ code }) => code === 'middle-outside');
  if (bowed && knives !== 'outside') {
    return paint.bad(`${sentence(bowed.message)}.`);
  }
  if (together === 'inside') {
    return paint.good('All knife ends and the bed are inside tolerance: leave the block alone.');
  }
  if (result.knives.every(({ ends }) => ends.every(({ offset }) => offset === null))) {
    return unknownHeadline(result, figures, paint);
  }
  if (knives === 'outside') return paint.bad(worstKnife(result, figures));
  if (bed === 'outside') {
    const tilt = figures.height(result.bed.tilt!);
    return paint.bad(
      `The bed is tilted by ${tilt}, outside ± ${figures.size(result.tolerance.bed)}.`,
    );
  }
  if (together === 'outside') return paint.bad('Knives and bed together are outside tolerance.');
  return paint.doubtful(undecided(result));
}

function undecided(result: Result): string {
  if (result.knives.some(({ ends }) => ends.some(({ offset }) => offset === null))) {
    return 'Not decided: some knife is not known.';
  }
  if (result.bed.tilt === null) {
    const which = result.verdicts.knives === 'inside' ? 'All knife ends are inside' : 'Not decided';
    return `${which}; the tilt of the bed is not known.`;
  }
  return 'Not decided: the boards do not say for sure whether all is inside.';
}

function worstKnife(result: Result, figures: Figures): string {
  const ends = result.knives.flatMap((knife) =>
    knife.ends.filter(({ offset }) => offset !== null).map((end) => ({ id: knife.id, end })),
  );
  const worst = ends.reduce((a, b) => (Math.abs(b.end.offset!) > Math.abs(a.end.offset!) ? b : a));
  const { id, end } = worst;
  const way = end.offset! > 0 ? 'proud' : 'low';
  const others = ends.filter((each) => each.end.verdict === 'outside' && each !== worst).length;
  const more =
    others === 0 ? '' : others === 1 ? '; one more end is out' : `; ${others} more ends are out`;
  return `Knife ${id} stands ${figures.size(Math.abs(end.offset!))} ${way} at the ${end.name}${more}.`;
}

/** Full boards alone, or too little of anything: what can be said is how boards come out. */
function unknownHeadline(result: Result, figures: Figures, paint: Paint): string {
  const { taper, U, verdict } = result.board;
  if (taper === null || U === null) {
    return paint.doubtful('These boards cannot tell how the knives or the bed stand.');
  }
  const limit = `± ${figures.size(result.tolerance.bed)}`;
  const [front, back] = result.knives[0]!.ends.map(({ name }) => name);
  const thick = `${figures.size(Math.abs(taper))} thicker at the ${taper >= 0 ? back : front}`;
  if (verdict === 'inside') return paint.good(`Boards are parallel: inside ${limit}.`);
  if (verdict === 'outside') return paint.bad(`Boards are tapered: ${thick}, outside ${limit}.`);
  return paint.doubtful(`Boards come out ${thick}; whether inside ${limit} is not decided.`);
}
