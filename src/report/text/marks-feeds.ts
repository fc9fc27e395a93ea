import type { Machine } from '../../machine/machine.js';
import type { MarksReport, WantedFeed } from '../../record/marks.js';
import { fineUnit, formatFine } from '../../units/fine.js';
import { FEED_UNITS, formatFeed } from '../../units/speed.js';
import { table, wrap } from './layout.js';
import { finishName, idList, perTen, roundPitch } from './marks-words.js';

/** The finish at other feeds of this machine. */
export function feedLines(
  { feeds, stations }: MarksReport,
  { block }: Machine,
  unit: 'mm' | 'in',
): string[] {
  const used = stations[0]!.perRevolution * block.speed!;
  const count = block.knives.length;
  const areEqual = feeds.every(({ fewest }) => fewest === count);
  const figure = (text: string) => text.replace(/ .*/, '');
  const rows = feeds.map(({ feed, pitch, marksPerInch, ridgeHeight, fewest, ...row }) => {
    const isUsed = Math.abs(feed / used - 1) < SAME;
    const sign = row.isOwn ? ' *' : isUsed ? ' +' : '';
    return [
      `${figure(formatFeed(feed, unit))}${sign}`,
      figure(roundPitch(pitch, unit)),
      marksPerInch.toFixed(1),
      perTen(marksPerInch),
      figure(formatFine(ridgeHeight, unit)),
      finishName(fewest),
      ...(areEqual ? [] : [idList(row.finishing, count)]),
    ];
  });
  const head = [
    FEED_UNITS[unit].name,
    `pitch, ${unit}`,
    'marks/in',
    '/10 mm',
    `ridges, ${fineUnit(unit)}`,
    'finish',
    ...(areEqual ? [] : ['knives']),
  ];
  return [...table([head, ...rows], '  '), ...legend(rows, stations.length > 1)];
}

/** Feeds nearer than this are the same. */
const SAME = 1e-9;

function legend(rows: readonly (readonly string[])[], isOfPlaces: boolean): string[] {
  const hasSign = (sign: string) => rows.some(([feed]) => feed!.endsWith(sign));
  const signs = [
    ...(hasSign('*') ? ["* the machine file's own feed"] : []),
    ...(hasSign('+') ? ['+ the feed asked for or found'] : []),
  ];
  const places = isOfPlaces
    ? 'At the roughest place, with the fewest marks; the knives are those that leave marks anywhere. '
    : '';
  return [
    ...(signs.length > 0 ? [`  ${signs.join('; ')}`] : []),
    ...wrap(
      `${places}Planed work is commonly fed for 12 to 25 marks an inch. More feed loads each knife ` +
        "more: the machine's manual decides what it may be fed at.",
      '  ',
    ),
  ];
}

/** The feed for each wish. */
export function wantedLines({ wanted }: MarksReport, unit: 'mm' | 'in'): string[] {
  return wanted.flatMap((each) => wrap(`${wishName(each, unit)}: ${answer(each, unit)}.`, '  - '));
}

function wishName({ wish, value }: WantedFeed, unit: 'mm' | 'in'): string {
  if (wish === 'all-show') return 'all knives leave marks';
  return wish === 'pitch'
    ? `a pitch of ${roundPitch(value!, unit)}`
    : `ridges of ${formatFine(value!, unit)}`;
}

function answer({ wish, feed, pitch, ridgeHeight }: WantedFeed, unit: 'mm' | 'in'): string {
  if (feed === null) return 'see the notices';
  const figures = [
    ...(wish === 'pitch' ? [] : [`pitch ${roundPitch(pitch!, unit)}`]),
    ...(wish === 'ridge-height' ? [] : [`ridges ${formatFine(ridgeHeight!, unit)}`]),
  ];
  const from = wish === 'all-show' ? 'from ' : '';
  const up = wish === 'all-show' ? ' up' : '';
  return `${from}${formatFeed(feed, unit)}${up}, ${figures.join(', ')}`;
}
