/** The demonstration: an invented shop, its thicknesser's true state, and the boards it measures. */
import { fullBoards, narrowStrips, stationsOf, twoStrips } from './designs.js';
import {
  carryRule,
  carryText,
  gaugeEdges,
  gaugeText,
  USUAL_INDICATOR,
  USUAL_RULE,
} from './indicator.js';
import { type Labels, marksText, readRidges, USUAL_LOUPE } from './loupe.js';
import { feedingOf, ridgesOf } from './planing.js';
import { seeded } from './random.js';
import { type Shop, shopWith, type TrueKnife, type Turn, turnScrews } from './shop.js';
import { type MeasuredBoards, measure } from './simulate.js';
import { machineText } from './texts.js';

/** Chosen so that two hand readings are misread: a slipped decimal point, a tenth too much. */
const SEED = 87;

const INVENTED = 'An invented shop. No real machine was measured, a simulator cut these boards.';
const INVENTED_TOO =
  'An invented shop. No real machine was measured, a simulator took these readings.';

/** Knife 3 is low at the back, knife 2 proud at the front; the bed is inside its tolerance. */
const KNIVES: readonly TrueKnife[] = [
  { id: '1', front: 0.004, back: 0.031, bow: 0.004, response: [0.01, -0.012] },
  { id: '2', front: 0.095, back: 0.024, bow: -0.006, response: [-0.02, 0.006] },
  { id: '3', front: -0.012, back: -0.081, bow: 0.003, response: [0.004, -0.018] },
  { id: '4', front: -0.021, back: 0.026, bow: -0.002, response: [0.015, 0.008] },
];

export function demoShop(): Shop {
  return shopWith(KNIVES, { tilt: 0.068, crown: 0.006 });
}

/** The machine file and the two first measurements, by file name. */
export function firstRun(): Readonly<Record<string, string>> {
  return {
    'machine.toml': machineText(demoShop(), 'Demonstration thicknesser (invented)', [INVENTED]),
    'two-strips.csv': strips().csv,
    'boards.csv': boards(demoShop(), SEED + 1, 'before adjustment').csv,
    'gauge.csv': gauge(demoShop(), SEED + 4),
    'carry.csv': carry(demoShop(), SEED + 5),
    'marks.csv': marks(demoShop(), SEED + 6, 'all', [
      'Ridges of a board planed under power, before adjustment, each labelled with the knife',
      'whose mark begins there: one after the other was chalked, and its mark looked for.',
    ]),
  };
}

/** The second measurement, after the given screws were turned, by file name. */
export function rerun(moves: readonly Turn[]): Readonly<Record<string, string>> {
  const turned = turnScrews(demoShop(), moves, seeded(SEED + 2));
  return {
    'rerun.csv': boards(turned, SEED + 3, 'after adjustment').csv,
    'rerun-marks.csv': marks(turned, SEED + 7, 'none', [
      'Ridges of a board planed under power, after adjustment; nobody wrote down whose the marks are.',
    ]),
  };
}

/** What two narrow strips under power show before anyone goes deeper. */
function strips(): MeasuredBoards {
  const shop = demoShop();
  const caliper = { misreadRate: 0 };
  const comments = [INVENTED, 'Two strips under power, one at each end of the block.'];
  return measure(shop, twoStrips(shop, [150, 250, 350, 450]), seeded(SEED), { caliper, comments });
}

/** Five narrow strips, turned by hand, four rounds; then one board under power. */
function boards(shop: Shop, seed: number, when: string): MeasuredBoards {
  const comments = [
    INVENTED,
    `Five strips cut by hand, four rounds, then one board under power, ${when}.`,
  ];
  const places = [...narrowStrips(shop), ...fullBoards(shop, [150, 250, 350, 450])];
  return measure(shop, places, seeded(seed), { caliper: { misreadRate: 0.02 }, comments });
}

/** A dial indicator at three places, in three rounds: each edge, and the block's own body. */
function gauge(shop: Shop, seed: number): string {
  const indicator = { ...USUAL_INDICATOR, body: true, zeros: 'each x' } as const;
  return gaugeText(gaugeEdges(shop, stationsOf(shop, 3), indicator, seeded(seed)), [
    INVENTED_TOO,
    'A dial indicator stood on the bed, in three rounds before adjustment: each edge at its',
    "extreme, and the block's own body. Wherever it was set up anew it has a zero of its own.",
  ]);
}

/** A rule on the outfeed table at the same places, as it was set: not every edge reaches it. */
function carry(shop: Shop, seed: number): string {
  return carryText(carryRule(shop, stationsOf(shop, 3), USUAL_RULE, seeded(seed)), [
    INVENTED_TOO,
    'A rule on the outfeed table that the block carries when it planes from above, before adjustment:',
    'how far each edge, turned by hand, carried it, in three rounds; 0 where it lay still.',
  ]);
}

/** Ridges read with a rule and a loupe along ten revolutions of one board, at five places across. */
function marks(shop: Shop, seed: number, labels: Labels, comments: readonly string[]): string {
  const random = seeded(seed);
  const stretch = { from: 150, revolutions: 10, feeding: feedingOf(shop, {}, random) };
  const ids = shop.knives.map(({ id }) => id);
  const rows = stationsOf(shop, 5).flatMap((x) =>
    readRidges(
      { ...USUAL_LOUPE, labels },
      { board: 'F1', x },
      ridgesOf(shop, x, stretch),
      ids,
      random,
    ),
  );
  return marksText(rows, [INVENTED_TOO, ...comments]);
}
