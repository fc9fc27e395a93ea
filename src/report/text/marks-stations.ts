import type { MarksKnife, MarksReport, MarksStation } from '../../record/marks.js';
import { fineUnit, formatFine, formatFineWithin } from '../../units/fine.js';
import type { Paint } from '../paint.js';
import { figuresIn } from './figures.js';
import { section, table, wrap } from './layout.js';
import { finishName, idList, perTen, roundPitch } from './marks-words.js';

/** What is left at each station. */
export function stationLines({ stations }: MarksReport, unit: 'mm' | 'in'): string[] {
  const { position } = figuresIn(unit);
  const count = stations[0]!.knives.length;
  const hasPlaces = stations.some(({ x }) => x !== null);
  const head = ['marks an inch', 'per 10 mm', 'ridges', 'finish'];
  const rows = stations.map((station) => {
    const { x, marks, marksPerInch, ridgeHeight, finishing } = station;
    const cells = [
      marksPerInch === null ? 'not known' : marksPerInch.toFixed(1),
      marksPerInch === null ? 'not known' : perTen(marksPerInch),
      ridgeHeight === null ? 'not known' : formatFine(ridgeHeight, unit),
      marks === null ? 'not known' : finishName(marks),
    ];
    if (!hasPlaces) return cells;
    const knives = finishing.length === 0 ? 'not known' : idList(finishing, count);
    return [x === null ? '' : position(x), ...cells, knives];
  });
  return table([hasPlaces ? ['x', ...head, 'knives'] : head, ...rows], '  ');
}

/** Stations beside each other in one table. */
const ABREAST = 4;

/** How each knife stands at each station; nothing for equal knives. */
export function knifeLines({ stations }: MarksReport, unit: 'mm' | 'in', paint: Paint): string[] {
  const named = stations.filter(({ x, ambiguous }) => x !== null && !ambiguous);
  if (named.length === 0) return [];
  const { position } = figuresIn(unit);
  const lines: string[] = [];
  for (let from = 0; from < named.length; from += ABREAST) {
    const abreast = named.slice(from, from + ABREAST);
    const head = ['knife', ...abreast.map(({ x }) => `x ${position(x!)}`)];
    const rows = named[0]!.knives.map(({ id }, knife) => [
      id,
      ...abreast.map((station) => cell(station.knives[knife]!, station, unit)),
    ]);
    lines.push(...table([head, ...rows], '  '));
  }
  const told = named.flatMap(({ knives }) => knives);
  const legend = [
    ...(told.some(({ U }) => U !== null) ? ['± covers the truth 95 times in 100.'] : []),
    ...(told.some(({ atMost }) => atMost !== null)
      ? ['Under: the knife leaves no mark and is lower than that, 95 times in 100 at least.']
      : []),
  ];
  return section(
    paint.strong(`Knives, ${fineUnit(unit)} from the mean of those that leave marks there`),
    [...lines, ...(legend.length > 0 ? wrap(legend.join(' '), '  ') : [])],
  );
}

function cell(
  { shows, offset, U, atMost }: MarksKnife,
  { marks }: MarksStation,
  unit: 'mm' | 'in',
): string {
  if (shows === false) {
    return atMost === null ? 'no mark' : `under ${minus(formatFineWithin(atMost, null, unit))}`;
  }
  if (offset === null) return 'not known';
  if (marks === 1) return 'alone';
  const value = minus(formatFineWithin(offset, U, unit));
  return U === null ? value : `${value} ± ${formatFineWithin(U, U, unit).replace('+', '')}`;
}

/** The marks of stations at which nothing tells whose they are. */
export function inOrderLines({ stations }: MarksReport, unit: 'mm' | 'in', paint: Paint): string[] {
  const { position } = figuresIn(unit);
  return stations
    .filter(({ ambiguous }) => ambiguous)
    .flatMap(({ x, inOrder }) => {
      const rows = inOrder.map(({ width, offset, u }, mark) => [
        `${mark + 1}`,
        roundPitch(width, unit),
        offset === null ? 'not known' : minus(formatFineWithin(offset, u, unit)),
        u === null ? '' : formatFineWithin(u, u, unit).replace('+', ''),
      ]);
      const head = ['mark', 'width', `height (${fineUnit(unit)})`, 'u'];
      const place = x === null ? '' : ` at x ${position(x)}`;
      return section(paint.strong(`Heights in order, not by name${place}`), [
        ...table([head, ...rows], '  '),
        ...wrap(
          'The marks follow each other so, but ridges alone fit as well with every name shifted by one ' +
            'knife: any of these heights may be any knife’s. u is the standard uncertainty.',
          '  ',
        ),
      ]);
    });
}

function minus(text: string): string {
  return text.replace('-', '−');
}
