import type { Random } from './random.js';

/** One knife as it really stands: how far its edge is out from the nominal radius at its two screws. */
export interface TrueKnife {
  readonly id: string;
  readonly front: number;
  readonly back: number;
  /** How far the middle of the edge stands out beyond the line through its ends. */
  readonly bow: number;
  /** What each screw's thread adds to a turn's nominal lift, as a share: front, back. */
  readonly response: readonly [number, number];
}

/** A machine as it really is, mm throughout. */
export interface Shop {
  readonly knives: readonly TrueKnife[];
  readonly radius: number;
  /** Where each knife stands round the block, degrees; evenly spaced where not given. */
  readonly angles?: readonly number[];
  readonly blockLength: number;
  /** x of the two adjusting screws of every knife. */
  readonly adjusters: readonly [number, number];
  /** How much farther the block's axis stands from the bed at the back adjuster than at the front. */
  readonly tilt: number;
  /** How much farther it stands in the middle than on the line through the ends. */
  readonly crown: number;
  /** From the bed to the nominal cutting circle, block turned by hand. */
  readonly handGap: number;
  /** The same under power, where the bearings ride elsewhere. */
  readonly powerGap: number;
  /** Standard deviation of the locked bed's height from board to board. */
  readonly lockSd: number;
  /** mm a minute. */
  readonly feedSpeed: number;
  /** Revolutions a minute. */
  readonly speed: number;
  readonly liftPerTurn: number;
  /** Standard deviation of what a hand turns, in turns. */
  readonly handTurnSd: number;
}

/** How a population of machines scatters: standard deviations, mm. */
export interface Spread {
  readonly ends: number;
  readonly tilt: number;
  readonly bow: number;
  readonly crown: number;
  /** Of each screw's response to a turn, as a share. */
  readonly response: number;
}

export const USUAL_SPREAD: Spread = {
  ends: 0.08,
  tilt: 0.05,
  bow: 0.01,
  crown: 0.01,
  response: 0.02,
};

/** What all machines of the closed loop have in common. */
const BENCH = {
  radius: 60,
  blockLength: 520,
  adjusters: [40, 480],
  handGap: 20.1,
  powerGap: 20.06,
  lockSd: 0.005,
  feedSpeed: 9000,
  speed: 4500,
  liftPerTurn: 1,
  handTurnSd: 1 / 96,
} as const;

/** A machine with the given knives; what is not said is as on the bench machine. */
export function shopWith(
  knives: readonly TrueKnife[],
  rest: Partial<Omit<Shop, 'knives'>> = {},
): Shop {
  return { ...BENCH, tilt: 0, crown: 0, ...rest, knives };
}

/** A machine drawn from a population. */
export function drawShop(random: Random, knifeCount: number, spread: Spread = USUAL_SPREAD): Shop {
  const knives = Array.from({ length: knifeCount }, (_, k) => ({
    id: String(k + 1),
    front: random.normal(spread.ends),
    back: random.normal(spread.ends),
    bow: random.normal(spread.bow),
    response: [random.normal(spread.response), random.normal(spread.response)] as const,
  }));
  return shopWith(knives, {
    tilt: random.normal(spread.tilt),
    crown: random.normal(spread.crown),
  });
}

/** −1 at the front adjuster, +1 at the back one. */
function across(shop: Shop, x: number): number {
  const [front, back] = shop.adjusters;
  return (2 * (x - front)) / (back - front) - 1;
}

/** How far a knife's edge stands out beyond the nominal radius at x. */
export function edgeAt(shop: Shop, knife: TrueKnife, x: number): number {
  const s = across(shop, x);
  return knife.front * ((1 - s) / 2) + knife.back * ((1 + s) / 2) + knife.bow * (1 - s * s);
}

/** What part of a revolution after the first knife a knife passes, from 0 to 1. */
export function passesAt(shop: Shop, knife: number): number {
  if (!shop.angles) return knife / shop.knives.length;
  return (shop.angles[knife]! - shop.angles[0]!) / 360;
}

/** How much farther than nominal the block's axis stands from the bed at x. */
export function axisAt(shop: Shop, x: number): number {
  const s = across(shop, x);
  return (shop.tilt * s) / 2 + shop.crown * (1 - s * s);
}

export interface Turn {
  readonly knife: string;
  /** x of the screw. */
  readonly x: number;
  /** + raises. */
  readonly turns: number;
}

/** The machine after its screws were turned by hand; a knife stays a straight line. */
export function turnScrews(shop: Shop, moves: readonly Turn[], random: Random): Shop {
  const lifted = (knife: TrueKnife, end: 0 | 1) =>
    moves
      .filter((move) => move.knife === knife.id && move.x === shop.adjusters[end])
      .reduce((sum, move) => {
        const turned = move.turns + random.normal(shop.handTurnSd);
        return sum + turned * shop.liftPerTurn * (1 + knife.response[end]);
      }, 0);
  const strays = moves.filter((move) => !shop.adjusters.includes(move.x));
  if (strays.length > 0) throw new Error(`no screw at x = ${strays[0]!.x}`);
  const knives = shop.knives.map((knife) => ({
    ...knife,
    front: knife.front + lifted(knife, 0),
    back: knife.back + lifted(knife, 1),
  }));
  return { ...shop, knives };
}
