import type { Shop } from './shop.js';

/** One place to be measured: by which knife it is cut (`all` under power) and where. */
export interface Place {
  readonly board: string;
  readonly knife: string;
  readonly x: number;
  readonly y: number;
}

/** Between two scoops on a strip, mm. */
const SCOOP_SPACING = 30;

/** Stations evenly spread from one outer adjuster to the other. */
export function stationsOf(shop: Shop, count: number): number[] {
  const [front, back] = shop.adjusters;
  return Array.from({ length: count }, (_, i) => front + ((back - front) * i) / (count - 1));
}

/** The knives' order in each round, reversed every other one, and the y of each scoop. */
function scoops(shop: Shop, rounds: number): { knife: string; y: number }[] {
  const order = shop.knives.map((knife) => knife.id);
  return Array.from({ length: rounds }, (_, round) =>
    round % 2 === 0 ? order : [...order].reverse(),
  )
    .flat()
    .map((knife, i) => ({ knife, y: 40 + SCOOP_SPACING * i }));
}

/** Hand cuts on one narrow strip a station: H1, H2 and so on. */
export function narrowStrips(shop: Shop, stations = 5, rounds = 4): Place[] {
  return stationsOf(shop, stations).flatMap((x, i) =>
    scoops(shop, rounds).map((scoop) => ({ board: `H${i + 1}`, x, ...scoop })),
  );
}

/** Hand cuts on one board as wide as the machine. */
export function wideBoard(shop: Shop, stations = 5, rounds = 4): Place[] {
  return scoops(shop, rounds).flatMap((scoop) =>
    stationsOf(shop, stations).map((x) => ({ board: 'H1', x, ...scoop })),
  );
}

/** Boards planed under power by all knives, measured at the same places. */
export function fullBoards(shop: Shop, ys: readonly number[], boards = 1, stations = 5): Place[] {
  return Array.from({ length: boards }, (_, b) =>
    ys.flatMap((y) => stationsOf(shop, stations).map((x) => place(`F${b + 1}`, x, y))),
  ).flat();
}

/** Two narrow strips under power, one at each outer adjuster. */
export function twoStrips(shop: Shop, ys: readonly number[]): Place[] {
  return shop.adjusters.flatMap((x, i) => ys.map((y) => place(`S${i + 1}`, x, y)));
}

function place(board: string, x: number, y: number): Place {
  return { board, knife: 'all', x, y };
}
