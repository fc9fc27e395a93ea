import type { Notice } from '../../notices/notice.js';
import type { Result } from '../../record/result.js';
import type { Paint } from '../paint.js';
import type { Figures } from './figures.js';
import { section, wrap } from './layout.js';

/** Readings set aside, each with where it stands and what most likely happened. */
export function setAside(result: Result, figures: Figures, paint: Paint): string[] {
  const lines = result.readings.setAside.flatMap((reading) => {
    const { file, line, board, knife, thickness, residual, reason, likely } = reading;
    const off = residual === null ? '' : `, ${figures.height(residual)} off`;
    const why = likely ? ` (${likely})` : '';
    const at = `board ${board}, knife ${knife}, x ${figures.position(reading.x)}`;
    return wrap(
      `${file}:${line}: ${figures.size(thickness)} at ${at}${off}: ${reason}${why}`,
      '  ',
    );
  });
  const { used, total } = result.readings;
  return section(paint.strong(`Readings set aside (${used} of ${total} used)`), lines);
}

/** What the boards cannot tell, which board would, and what else its reader has to know. */
export function openQuestions(result: Result, paint: Paint): string[] {
  const pick = (codes: readonly string[]) =>
    result.notices.filter(({ code }) => codes.includes(code)).flatMap(bullet);
  const open = pick([
    'not-determined',
    'taper-not-determined',
    'mean-of-some-knives',
    'next-board',
    'convention',
    'rests-on-bed-lock',
  ]);
  const doubts = result.notices
    .filter(({ code, severity }) => severity === 'warning' && !TOLD_ELSEWHERE.has(code))
    .flatMap(bullet);
  return [
    ...section(paint.strong('Mind'), doubts),
    ...section(paint.strong('What the boards could not tell'), open),
    ...section(paint.strong('Taken for granted'), pick(['assumed'])),
  ];
}

/** Warnings that have a place of their own in the text. */
const TOLD_ELSEWHERE = new Set(['set-aside', 'excluded', 'not-determined', 'mean-of-some-knives']);

function bullet({ message, hint }: Notice): string[] {
  return wrap(hint ? `${message}. ${sentence(hint)}.` : `${message}.`, '  - ');
}

function sentence(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
