import type { Machine } from '../../machine/machine.js';
import type { MarksReport } from '../../record/marks.js';
import { formatFine } from '../../units/fine.js';
import { formatFeed } from '../../units/speed.js';
import { CAUTIONS } from '../cautions.js';
import type { Paint } from '../paint.js';
import { figuresIn } from './figures.js';
import { section, wrap } from './layout.js';
import { feedLines, wantedLines } from './marks-feeds.js';
import { inOrderLines, knifeLines, stationLines } from './marks-stations.js';
import { finishName, range, roundPitch } from './marks-words.js';
import { fewOfEach } from './open.js';

/**
 * Knife marks for people, at most 80 columns wide: the finish first, then each station and knife,
 * other feeds, what was wished for, what to do, and the cautions.
 */
export function marksText(
  report: MarksReport,
  machine: Machine,
  unit: 'mm' | 'in',
  paint: Paint,
): string {
  const strong = (heading: string, lines: readonly string[]) =>
    section(paint.strong(heading), lines);
  const lines = [
    ...wrap(headline(report, unit, paint)),
    ...strong('Marks', [
      ...wrap(setting(report, machine, unit), '  '),
      ...stationLines(report, unit),
      ...boundLines(report, machine, unit),
    ]),
    ...knifeLines(report, unit, paint),
    ...inOrderLines(report, unit, paint),
    ...strong('What was read', readingLines(report, unit)),
    ...strong(`Feeds${ofEqual(report)}`, feedLines(report, machine, unit)),
    ...strong('What was asked', wantedLines(report, unit)),
    ...strong('Notices', fewOfEach(report.notices)),
    ...strong('What to do', whatToDo(report)),
    ...strong(
      'Cautions',
      CAUTIONS.flatMap((caution) => wrap(caution, '  - ')),
    ),
  ];
  return `${lines.join('\n')}\n`;
}

/** `A two-knife finish: 12.7 marks an inch, ridges 8 µm.` */
function headline(report: MarksReport, unit: 'mm' | 'in', paint: Paint): string {
  const { stations } = report;
  const marks = stations.map((station) => station.marks);
  if (marks.some((count) => count === null)) {
    return paint.doubtful(
      'Which knives leave marks is not known: the heights of some are missing.',
    );
  }
  const counts = [...new Set(marks as number[])].toSorted((a, b) => a - b);
  const roughest = Math.max(...stations.map(({ ridgeHeight }) => ridgeHeight ?? 0));
  const upTo = stations.length > 1 ? 'up to ' : '';
  const figures =
    `${range(stations.map(({ marksPerInch }) => marksPerInch!.toFixed(1)))} marks an inch` +
    (roughest > 0 ? `, ridges ${upTo}${formatFine(roughest, unit)}` : '');
  const [fewest, most] = [counts[0]!, counts.at(-1)!];
  const between = fewest === most ? '' : `${finishName(fewest, 'to')} to `;
  const name = `${between}${finishName(most)} finish`;
  const isGuess = report.notices.some(({ code }) => code === 'marks-are-a-guess');
  const article = /^(8|11|18|eight|eleven)/.test(name) ? 'an' : 'a';
  const first = isGuess ? `Likely ${article}` : article === 'an' ? 'An' : 'A';
  const equal = stations[0]!.x === null && most > 1 ? ' where all knives are equal' : '';
  const unnamed = stations.some(({ ambiguous }) => ambiguous)
    ? '; which knives leave them is not settled'
    : '';
  const paintIt = isGuess || unnamed ? paint.doubtful : paint.strong;
  return paintIt(`${first} ${name}${equal}: ${figures}${unnamed}.`);
}

/** `At 9 m/min and 4500 rpm: pitch 0.500 mm, 2.00 mm a revolution.` */
function setting({ stations }: MarksReport, { block }: Machine, unit: 'mm' | 'in'): string {
  const each = (of: (station: MarksReport['stations'][0]) => string) => range(stations.map(of));
  const feed = each(({ perRevolution }) => formatFeed(perRevolution * block.speed!, unit));
  const pitch = each((station) => roundPitch(station.pitch, unit));
  const turn = each((station) => roundPitch(station.perRevolution, unit));
  const rpm = Number(block.speed!.toPrecision(5));
  return `At ${feed} and ${rpm} rpm: pitch ${pitch}, ${turn} a revolution.`;
}

/** How low knives may be. */
function boundLines({ stations }: MarksReport, { block }: Machine, unit: 'mm' | 'in'): string[] {
  const [first] = stations;
  if (first!.hiddenBelow === null || first!.oneKnifeBelow === null) return [];
  const fine = (mm: number) => formatFine(mm, unit);
  const [hidden, one] = [fine(first!.hiddenBelow), fine(first!.oneKnifeBelow)];
  return wrap(
    block.knives.length === 2
      ? `A knife ${hidden} lower than the other leaves no mark, and the other finishes alone.`
      : `A knife ${hidden} lower than the others, these equal, leaves no mark; with all others ${one} lower one knife finishes alone.`,
    '  ',
  );
}

/** Notices that say that the feeds are of equal knives. */
const OF_EQUAL = ['heights-not-known', 'feeds-of-equal-knives'];

function ofEqual({ stations, notices }: MarksReport): string {
  const isEqual = stations[0]!.x === null || notices.some(({ code }) => OF_EQUAL.includes(code));
  return isEqual ? ', of knives that are all equal' : ', of the knives as they stand';
}

/** What the ridges were read to, and which were left out. */
function readingLines({ reading }: MarksReport, unit: 'mm' | 'in'): string[] {
  if (!reading) return [];
  const { position } = figuresIn(unit);
  return [
    ...wrap(
      `${reading.used} of ${reading.ridges} ridges used; one is read to ${formatFine(reading.sd, unit)} (standard deviation).`,
      '  ',
    ),
    ...reading.setAside.flatMap(({ file, line, board, x, y, reason }) =>
      wrap(
        `${file}:${line}: ridge at y ${roundPitch(y, unit)}, board ${board}, x ${position(x)}: ${reason}`,
        '  ',
      ),
    ),
  ];
}

function whatToDo(report: MarksReport): string[] {
  const { stations, reading, notices } = report;
  const say = (text: string) => wrap(text, '  ');
  const isGuess = notices.some(({ code }) => code === 'marks-are-a-guess');
  if (stations.some(({ ambiguous }) => ambiguous)) {
    return say(
      'Do not turn a screw by heights without names. Write beside one ridge which knife cut the mark ' +
        'that begins there, or give --result with the heights that test boards told.',
    );
  }
  if (reading)
    return say('Compare these heights with those of test boards before a screw is turned.');
  if (stations[0]!.x === null) {
    return stations[0]!.knives.length === 1
      ? say('Slow the feed for marks that lie closer.')
      : say(
          'Knives are never so equal by themselves. Give --result to see which of yours leave marks, ' +
            'and read the ridges along a planed board to know.',
        );
  }
  if (stations.some(({ marks }) => marks === null)) {
    return say('Measure the knives that are missing; see the notices.');
  }
  const settle = isGuess
    ? ' To settle which knives finish, read the ridges along a planed board.'
    : '';
  const alone = stations.some(({ marks }) => marks! < stations[0]!.knives.length);
  return say(
    (alone
      ? 'That not all knives leave marks is no fault by itself: what decides is far finer than what ' +
        'screws and calipers reach. Where the finish is too coarse, slow the feed.'
      : 'Nothing: all knives take part in the finish.') + settle,
  );
}
