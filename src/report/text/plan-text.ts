import type { Machine } from '../../machine/machine.js';
import type { Plan } from '../../record/plan.js';
import { positionIn } from '../../units/position.js';
import { CAUTIONS } from '../cautions.js';
import type { Paint } from '../paint.js';
import { type Figures, figuresIn, percent } from './figures.js';
import { section, table, wrap } from './layout.js';
import { fewOfEach } from './open.js';
import {
  boardsTable,
  byHand,
  cheapQuestion,
  knivesInShort,
  otherwise,
  planedWide,
} from './plan-steps.js';

/**
 * A plan for people, at most 80 columns wide: how long it takes and what it will tell, the cheap
 * question first, the boards, how to cut and measure them safely, what stays open, and the cautions.
 */
export function planText(
  plan: Plan,
  machine: Machine,
  { unit, machineFile }: { readonly unit: 'mm' | 'in'; readonly machineFile: string },
  paint: Paint,
): string {
  const figures = asOnSheets(figuresIn(unit));
  const part = (heading: string, lines: readonly string[]) => section(paint.strong(heading), lines);
  const lines = [
    ...headline(plan, figures, paint),
    ...part('First the cheap question', cheapQuestion(plan, machine, machineFile, figures)),
    ...part('Boards', boardsTable(plan, figures)),
    ...part('How to cut and measure by hand', byHand(plan, machine, figures)),
    ...part('How to cut and measure the wide board', planedWide(plan, figures)),
    ...part('Where that cannot be done', otherwise(plan, machine, machineFile, figures)),
    ...part('What that will tell', foretold(plan, machine, figures)),
    ...part('What each place contributes', explained(plan, figures)),
    ...part('What could still overturn the moves', overturning(plan, figures)),
    ...part('What stays open, and why', stayingOpen(plan)),
    ...part('Notices', noticesTold(plan)),
    ...part('What next', whatNext(plan, machineFile, figures)),
    ...part('Taken for granted', takenForGranted(plan)),
    ...part(
      'Cautions',
      CAUTIONS.flatMap((caution) => wrap(caution, '  - ')),
    ),
  ];
  return `${lines.join('\n')}\n`;
}

/** Positions to be marked out are told as sheets have them, to the last digit. */
function asOnSheets(figures: Figures): Figures {
  const position = positionIn(figures.unit);
  return { ...figures, position: (mm) => `${position(mm)} ${figures.unit}` };
}

/** Painted line by line: marks of colour take no room on a line. */
function headline(plan: Plan, { size }: Figures, paint: Paint): string[] {
  const { boards, readings, minutes, expected } = plan;
  const { notices } = plan;
  const unsafe = notices.filter(({ code }) => code === 'over-projection' || code === 'over-speed');
  if (unsafe.length > 0) {
    const why = unsafe.map(({ message }) => message).join('; ');
    return wrap(`Do not run this machine as it is: ${why}.`).map(paint.bad);
  }
  if (boards.length === 0) return [paint.strong('No board is to be cut.')];
  const again = boards.filter((board) => board.again).length;
  const cut = boards.length - again;
  const parts = [
    cut > 0 ? `${cut} ${cut === 1 ? 'board' : 'boards'} to cut` : '',
    again > 0 ? `${again} ${again === 1 ? 'place' : 'places'} to measure again` : '',
  ].filter((text) => text !== '');
  const what = `${parts.join(', ')}: ${readings} ${readings === 1 ? 'reading' : 'readings'}, about ${minutes} minutes.`;
  if (expected.knifeEndU === null) {
    const none = `${what} No knife will be known from these boards alone.`;
    return wrap(none).map(paint.doubtful);
  }
  const known = `${what} Every knife's end will be known to ± ${size(expected.knifeEndU)}.`;
  return wrap(known).map(paint.strong);
}

function foretold(
  { expected, boards, readings }: Plan,
  { tolerance, adjusters }: Machine,
  { size }: Figures,
): string[] {
  const { knifeEndU, bedTiltU, taperU, clearVerdict } = expected;
  const known = (U: number | null) => (U === null ? 'not known' : `± ${size(U)}`);
  const rows = [
    ["a knife's end", known(knifeEndU), `tolerance ± ${size(tolerance.knife)}`],
    ["the bed's tilt", known(bedTiltU), `tolerance ± ${size(tolerance.bed)}`],
    ['the taper of boards', known(taperU), `tolerance ± ${size(tolerance.bed)}`],
  ];
  const by =
    boards.length > 0 && readings > 0 ? 'From the places alone, before any reading: the' : 'The';
  return [
    ...table(rows, '  '),
    ...wrap(
      `${by} ± is the expanded uncertainty, within which the truth will be 95 times in 100.`,
      '  ',
    ),
    ...(clearVerdict === null
      ? []
      : wrap(
          `A knife's end that may stand anywhere within twice its tolerance gets a clear verdict, inside or outside, with ${percent(clearVerdict)} probability.`,
          '  ',
        )),
    ...(adjusters.kind === 'screw' && knifeEndU !== null
      ? wrap(
          `The finest turn lifts by ${size(adjusters.finestTurn * adjusters.liftPerTurn)}, so a screw is set to half of that at best, however well its knife is known.`,
          '  ',
        )
      : []),
  ];
}

function explained({ explain, expected }: Plan, { size, position }: Figures): string[] {
  if (!explain || explain.length === 0) return [];
  const more = (without: number | null, now: number | null) => {
    if (now === null) return 'not known';
    if (without === null) return 'lost';
    return `± ${size(without)}`;
  };
  const rows = explain.map(({ board, knives, x, readings, without }) => [
    board,
    knives.length > 1 ? knivesInShort(knives).replace(/^(each of |)/, 'one of ') : knives[0]!,
    position(x),
    String(readings),
    more(without.knifeEndU, expected.knifeEndU),
    more(without.bedTiltU, expected.bedTiltU),
  ]);
  const head = ['board', 'knife', 'x', 'readings', "knife's end", 'bed tilt'];
  return [
    ...table([head, ...rows], '  '),
    ...wrap(
      `Without one knife's readings at that place the widest ± of a knife's end and that of the tilt would be as shown, in place of ± ${expected.knifeEndU === null ? 'nothing known' : size(expected.knifeEndU)} and ± ${expected.bedTiltU === null ? 'nothing known' : size(expected.bedTiltU)}.`,
      '  ',
    ),
  ];
}

function overturning({ overturning: readings }: Plan, { size, position }: Figures): string[] {
  if (!readings || readings.length === 0) return [];
  return [
    ...readings.flatMap((reading) => {
      const { knife, end, file, line, board, read, x, y, thickness, wrongBy } = reading;
      const way = wrongBy > 0 ? 'thick' : 'thin';
      return wrap(
        `Knife ${knife}, ${end}: measure ${board} again where knife ${read} cut, x ${position(x)}, y ${position(y)} (${file}:${line}, ${size(thickness)}). Only if that reading were ${size(Math.abs(wrongBy))} too ${way} would the end be inside as it stands.`,
        '  - ',
      );
    }),
    ...wrap(
      'Of all readings these are the ones on which the moves of these ends hang most. Where so large an error is out of the question, the move stands.',
      '  ',
    ),
  ];
}

function stayingOpen(plan: Plan): string[] {
  return fewOfEach(plan.notices.filter(({ code }) => OPEN.includes(code)));
}

/** What these boards leave open. */
const OPEN = [
  'not-determined',
  'taper-not-determined',
  'crown-not-determined',
  'mean-of-some-knives',
  'convention',
];
/** Notices that have a place of their own. */
const TOLD_ELSEWHERE = ['assumed', ...OPEN];

function noticesTold({ notices }: Plan): string[] {
  return fewOfEach(notices.filter(({ code }) => !TOLD_ELSEWHERE.includes(code)));
}

function takenForGranted({ notices }: Plan): string[] {
  return notices
    .filter(({ code }) => code === 'assumed')
    .flatMap(({ message }) => wrap(`${message}.`, '  - '));
}

function whatNext(
  { boards, earlierFiles, smaller }: Plan,
  machineFile: string,
  { size }: Figures,
): string[] {
  if (boards.length === 0) return [];
  const analysed = [...(earlierFiles ?? []), 'boards.csv'].join(' ');
  return [
    ...wrap(
      'A sheet for exactly these places, to print or to type into at the machine (.csv instead of .html for a spreadsheet):',
      '  ',
    ),
    `    proofboard sheet ${machineFile} --out boards.html`,
    ...wrap(
      'Or key the readings in at a terminal, each questioned at once if it is doubtful:',
      '  ',
    ),
    `    proofboard enter ${machineFile} --out boards.csv`,
    ...wrap(
      'With the same options, or with --plan and the file that --out of this command wrote. Then:',
      '  ',
    ),
    `    proofboard analyse ${machineFile} ${analysed}`,
    ...(smaller
      ? wrap(
          `In a hurry: --stations ${smaller.stations} --repeats ${smaller.repeats} asks for ${smaller.readings} readings, about ${smaller.minutes} minutes, and tells a knife's end to ± ${size(smaller.knifeEndU)}; how well readings repeat is then known less surely.`,
          '  ',
        )
      : []),
  ];
}
