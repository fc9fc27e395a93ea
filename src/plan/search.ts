import type { Station } from './boards.js';

/** What a choice of stations comes to. */
export interface Judgement {
  /** The widest U, in units of what it may be. */
  readonly worst: number;
  /** The same on average over all that is asked, which tells choices of the same worst apart. */
  readonly mean: number;
  /** Degrees of freedom that the noise will have. */
  readonly freedom: number;
}

export interface Question {
  /** x at which a station may be, ascending. */
  readonly places: readonly number[];
  readonly fewestStations: number;
  readonly mostStations: number;
  readonly fewestRounds: number;
  readonly mostRounds: number;
  /** Degrees of freedom from which on the noise counts as known. */
  readonly freedom: number;
  readonly minutes: (stations: readonly Station[]) => number;
  /** Asked often. */
  readonly judge: (stations: readonly Station[]) => Judgement;
  /** Whether stations reach what is asked, everything counted; asked seldom. */
  readonly reaches: (stations: readonly Station[]) => boolean;
}

export interface Choice {
  readonly stations: readonly Station[];
  /** Whether it reaches what is asked. */
  readonly reaches: boolean;
}

/**
 * Neighbouring stations keep so much of their even spacing: crowded to the ends they would tell ends a
 * little better, and of a bent knife, a chip or a worn middle nothing.
 */
const LEAST_SPACING = 0.8;
/** Exchanges settle within a few sweeps over all stations. */
const SWEEPS = 12;
const BETTER = 1e-9;

/**
 * The stations and rounds that take fewest minutes among those that reach what is asked, and among
 * these the ones with the least uncertainty; where none reaches it, the fewest that make the noise known.
 *
 * For each number of stations the least number of rounds is found by halving: more rounds never tell
 * less. For both given, places and rounds are exchanged one at a time, and two at a time, while that
 * narrows the widest U (coordinate exchange, Meyer and Nachtsheim 1995).
 */
export function fewestMinutes(asked: Question): Choice {
  const mostStations = Math.min(asked.mostStations, asked.places.length);
  const largest = evenStations(asked, mostStations, mostStations * asked.mostRounds);
  // What so few stations or rounds can never make known is not asked for.
  const question = hasFreedom(asked, largest) ? asked : { ...asked, freedom: 0 };
  let best: (Choice & { readonly minutes: number }) | null = null;
  for (let count = question.fewestStations; count <= mostStations; count++) {
    const found = fewestRounds(question, count, best?.reaches ? best.minutes : Infinity);
    if (!found) continue;
    const minutes = question.minutes(found.stations);
    const isBetter =
      !best || (found.reaches === best.reaches ? minutes < best.minutes : found.reaches);
    if (isBetter) best = { ...found, minutes };
  }
  return best ?? { stations: [], reaches: false };
}

/**
 * The least number of rounds in all that reaches what is asked with so many stations, or the most
 * there may be where none does; null where that takes longer than what is known already.
 */
function fewestRounds(question: Question, count: number, within: number): Choice | null {
  const most = count * question.mostRounds;
  const least = leastTotal(count * question.fewestRounds, most, (total) =>
    hasFreedom(question, evenStations(question, count, total)),
  );
  if (question.minutes(evenStations(question, count, least)) >= within) return null;
  const tried = new Map<number, Choice>();
  const attempt = (total: number): Choice => {
    const before = tried.get(total);
    if (before) return before;
    const reaches = (stations: readonly Station[]) =>
      hasFreedom(question, stations) && question.reaches(stations);
    // Equal rounds are simplest to cut; unequal ones are for where these do not do.
    const even = bestStations(question, count, total, [movesOfOne, movesOfTwo]);
    const isEnough = reaches(even);
    const stations = isEnough ? even : bestStations(question, count, total, ALL_EXCHANGES);
    const choice = { stations, reaches: isEnough || reaches(stations) };
    tried.set(total, choice);
    return choice;
  };
  // Where no number of readings would do, as many as make the noise known are enough.
  if (!attempt(most).reaches) return attempt(least);
  return attempt(leastTotal(least, most, (total) => attempt(total).reaches));
}

/** The least whole number for which something holds that holds from there on; `high` is taken to hold. */
function leastTotal(from: number, to: number, holds: (total: number) => boolean): number {
  let [low, high] = [from, to];
  while (low < high) {
    const total = Math.floor((low + high) / 2);
    if (holds(total)) high = total;
    else low = total + 1;
  }
  return high;
}

/** Whether the noise would be known: that depends on how many readings there are, hardly on where. */
function hasFreedom({ judge, freedom }: Question, stations: readonly Station[]): boolean {
  return judge(stations).freedom >= freedom;
}

/** Choices of stations that differ little from one, in its i-th station. */
type Neighbours = (question: Question, stations: readonly Station[], i: number) => Station[][];

const ALL_EXCHANGES: readonly Neighbours[] = [movesOfOne, sharesOfRounds, movesOfTwo];

/**
 * The best places for so many stations, and the best shares of so many rounds: from an even spread
 * and from one that crowds to the ends, each exchanged until nothing narrows the widest U further.
 */
function bestStations(
  question: Question,
  count: number,
  total: number,
  exchanges: readonly Neighbours[],
): readonly Station[] {
  const even = evenStations(question, count, total);
  const [one, other] = [even, atTheEnds(question, even)].map((start) =>
    exchanged(question, start, exchanges),
  );
  return surpasses(question.judge(other!), question.judge(one!)) ? other! : one!;
}

function exchanged(
  question: Question,
  start: readonly Station[],
  exchanges: readonly Neighbours[],
): readonly Station[] {
  let stations = start;
  let now = question.judge(stations);
  for (let sweep = 0; sweep < SWEEPS; sweep++) {
    const before = now;
    for (const neighbours of exchanges) {
      for (let i = 0; i < stations.length; i++) {
        for (const next of neighbours(question, stations, i)) {
          const then = question.judge(next);
          if (surpasses(then, now)) [stations, now] = [next, then];
        }
      }
    }
    if (!surpasses(now, before)) break;
  }
  return stations;
}

function surpasses(one: Judgement, other: Judgement): boolean {
  if (Math.abs(one.worst - other.worst) > BETTER * other.worst) return one.worst < other.worst;
  return one.mean < other.mean * (1 - BETTER);
}

/** The i-th station at every place that keeps clear of its neighbours. */
function movesOfOne({ places }: Question, stations: readonly Station[], i: number): Station[][] {
  return places.map((x) => stations.with(i, { ...stations[i]!, x })).filter(spacedIn(places));
}

/** The i-th station and one behind it, each by one place. */
function movesOfTwo({ places }: Question, stations: readonly Station[], i: number): Station[][] {
  const at = (k: number, by: number) => places[places.indexOf(stations[k]!.x) + by];
  const out: Station[][] = [];
  for (let k = i + 1; k < stations.length; k++) {
    for (const [a, b] of [
      [-1, -1],
      [-1, 1],
      [1, -1],
      [1, 1],
    ] as const) {
      const [one, other] = [at(i, a), at(k, b)];
      if (one === undefined || other === undefined) continue;
      out.push(
        stations.with(i, { ...stations[i]!, x: one }).with(k, { ...stations[k]!, x: other }),
      );
    }
  }
  return out.filter(spacedIn(places));
}

/** One round of the i-th station given to another. */
function sharesOfRounds(
  { fewestRounds, mostRounds }: Question,
  stations: readonly Station[],
  i: number,
): Station[][] {
  const { rounds } = stations[i]!;
  if (rounds <= fewestRounds) return [];
  return stations.flatMap((other, k) =>
    k === i || other.rounds >= mostRounds
      ? []
      : [
          stations
            .with(i, { ...stations[i]!, rounds: rounds - 1 })
            .with(k, { ...other, rounds: other.rounds + 1 }),
        ],
  );
}

/** Whether stations stand in order, and far enough apart to be several. */
function spacedIn(places: readonly number[]): (stations: readonly Station[]) => boolean {
  const reach = places.at(-1)! - places[0]!;
  return (stations) => {
    const least = (LEAST_SPACING * reach) / Math.max(1, stations.length - 1);
    return stations.every(({ x }, i) => i === 0 || x - stations[i - 1]!.x >= least - 1e-9);
  };
}

/** Stations spread evenly over all places, rounds shared evenly, what is left over at the ends. */
function evenStations({ places }: Question, count: number, total: number): Station[] {
  const share = Math.floor(total / count);
  const rest = total - share * count;
  return Array.from({ length: count }, (_, i) => {
    const at = count === 1 ? (places.length - 1) / 2 : (i * (places.length - 1)) / (count - 1);
    const fromEnd = Math.min(i, count - 1 - i);
    const turn = i < count / 2 ? 2 * fromEnd : 2 * fromEnd + 1;
    return { x: places[Math.round(at)]!, rounds: share + (turn < rest ? 1 : 0) };
  });
}

/** The same crowded towards both ends, as near as stations may stand. */
function atTheEnds({ places }: Question, stations: readonly Station[]): readonly Station[] {
  const count = stations.length;
  const least = (LEAST_SPACING * (places.length - 1)) / Math.max(1, count - 1);
  const crowded = stations.map((station, i) => {
    const steps = Math.ceil(least - 1e-9);
    const at = i < count / 2 ? i * steps : places.length - 1 - (count - 1 - i) * steps;
    return { ...station, x: places[Math.max(0, Math.min(places.length - 1, at))]! };
  });
  return spacedIn(places)(crowded) ? crowded : stations;
}
