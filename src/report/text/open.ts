import type { Notice } from '../../notices/notice.js';
import type { Result } from '../../record/result.js';
import type { Paint } from '../paint.js';
import type { Figures } from './figures.js';
import { section, sentence, wrap } from './layout.js';

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
  const doubts = result.notices.filter(
    ({ code, severity }) => severity === 'warning' && !TOLD_ELSEWHERE.has(code),
  );
  return [
    ...section(paint.strong('Notices'), fewOfEach(doubts)),
    ...section(paint.strong('What the boards could not tell'), pick(OPEN)),
    ...section(paint.strong('Taken for granted'), pick(['assumed', 'projection-carried-over'])),
  ];
}

const OPEN = [
  'not-determined',
  'taper-not-determined',
  'crown-not-determined',
  'mean-of-some-knives',
  'next-board',
  'convention',
  'rests-on-bed-lock',
];

/** Warnings that have a place of their own in the text. */
const TOLD_ELSEWHERE = new Set([
  'set-aside',
  'excluded',
  'not-determined',
  'mean-of-some-knives',
  'no-moves-allowed',
  'bed-not-known',
  'heights-too-uncertain',
]);

/** Of notices of one kind so many are written out; the JSON and standard error have all. */
const WRITTEN_OUT = 3;

/** Notices as a list, those of one kind together. */
export function fewOfEach(notices: readonly Notice[]): string[] {
  const codes = [...new Set(notices.map(({ code }) => code))];
  return codes.flatMap((code) => {
    const same = notices.filter((notice) => notice.code === code);
    const more = same.length - WRITTEN_OUT;
    const rest = more > 0 ? wrap(`and ${more} more of this kind.`, '    ') : [];
    return [...same.slice(0, WRITTEN_OUT).flatMap(bullet), ...rest];
  });
}

function bullet({ message, hint, file, line }: Notice): string[] {
  const place = file === undefined ? '' : `${file}${line === undefined ? '' : `:${line}`}: `;
  const text = `${place}${message}`;
  return wrap(hint ? `${text}. ${sentence(hint).replace(/\.$/, '')}.` : `${text}.`, '  - ');
}
