/** The demonstration: an invented shop, its thicknesser's true state, and the boards it measures. */
import { fullBoards, narrowStrips, twoStrips } from './designs.js';
import { seeded } from './random.js';
import { type Shop, shopWith, type TrueKnife, type Turn, turnScrews } from './shop.js';
import { type MeasuredBoards, measure } from './simulate.js';
import { machineText } from './texts.js';

/** Chosen so that two hand readings are misread: a slipped decimal point, a tenth too much. */
const SEED = 87;

const INVENTED = 'An invented shop. No real machine was measured, a simulator cut these boards.';

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
  };
}

/** The second measurement, after the given screws were turned. */
export function rerun(moves: readonly Turn[]): MeasuredBoards {
  const turned = turnScrews(demoShop(), moves, seeded(SEED + 2));
  return boards(turned, SEED + 3, 'after adjustment');
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
