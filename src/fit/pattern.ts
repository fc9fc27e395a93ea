import { assignToPattern } from './assign.js';
import { Decomposition, dot } from './decomposition.js';
import { fCdf } from './distributions.js';
import { solveTriangle, triangleOf } from './triangle.js';

/** What is known of a repeating pattern before its points are looked at. */
export interface PatternGuess {
  /** Length of a period, roughly: it tells a period from its multiples. */
  readonly period: number;
  /** How well that is known: standard deviation of its logarithm. */
  readonly periodSd: number;
  /** At most so many points a period. */
  readonly most: number;
  /** Standard deviation of one point's position, roughly. */
  readonly sd: number;
}

/** Which turn of the pattern a point belongs to, and which of its slots. */
export interface PatternPlace {
  readonly turn: number;
  readonly slot: number;
}

/** Points on a line that repeat with a period, a point a slot; rows of factors are for unit noise. */
export interface RepeatingPattern {
  readonly slots: number;
  readonly period: number;
  /** Position of each slot, ascending within a period; only their differences mean anything. */
  readonly phases: readonly number[];
  /** Rows of the covariance's factor: of each phase against the first slot's, and of the period. */
  readonly phaseFactors: readonly Float64Array[];
  readonly periodFactor: Float64Array;
  /** Of each point; null where it does not belong to the pattern. */
  readonly places: readonly (PatternPlace | null)[];
  /** Points that stand beside another one in the same place. */
  readonly doubled: readonly number[];
  /** Places of the pattern, between its first and last points, where no point was seen. */
  readonly missed: readonly PatternPlace[];
  readonly squares: number;
  readonly freedom: number;
  /** Whether the periods differ among themselves by more than the points scatter. */
  readonly isUneven: boolean;
  /** Whether other numbers of slots explain the points about as well, and only the guess decided. */
  readonly restsOnGuess: boolean;
}

/** Periods outside this ratio of the guess, either way, are other multiples. */
const MOST_OFF = 1.4;
/** Costs that differ by less than this explain the points about as well. */
const ALIKE = 6;
/** So many windows of the points are tried as the pattern, and fewer where a pattern is long. */
const MOST_WINDOWS = 48;
const FEWEST_WINDOWS = 12;
const ROUNDS = 6;
/** Studentised residual beyond which a point does not belong. */
const REJECT_BEYOND = 3.8;
/** Periods are called uneven where chance would make them so this seldom. */
const UNEVEN_BELOW = 0.002;

/**
 * Finds the pattern that points on a line repeat, though some are missing, some doubled and some
 * misplaced: every run of a few neighbours is tried as the pattern, the points are assigned to its
 * slots in the likeliest way, and the pattern is fitted to all that belong. The number of slots is
 * that which explains the points best. Points that are evenly spaced repeat with any number of slots:
 * of those that explain them about as well, the one is taken whose period is nearest to the guess.
 *
 * @param points ascending
 * @returns null where no period near the guess is covered
 */
export function findPattern(
  points: readonly number[],
  guess: PatternGuess,
): RepeatingPattern | null {
  const candidates: RepeatingPattern[] = [];
  for (let slots = 1; slots <= Math.min(guess.most, points.length - 1); slots++) {
    const pattern = bestOf(points, windowsOf(points, slots, guess.period), guess.sd);
    if (pattern) candidates.push(pattern);
  }
  if (candidates.length === 0) return null;
  const sd = Math.min(...candidates.map((pattern) => spreadOf(pattern, guess.sd)));
  const off = ({ period }: RepeatingPattern) => Math.log(period / guess.period);
  const judged = candidates.map((pattern) => {
    const { cost } = assignToPattern(points, widthsOf(pattern), sd);
    return { pattern, cost: cost + (off(pattern) / guess.periodSd) ** 2 / 2 };
  });
  const least = Math.min(...judged.map(({ cost }) => cost));
  const alike = judged.filter(({ cost }) => cost < least + ALIKE);
  const { pattern } = alike.reduce((near, each) =>
    Math.abs(off(each.pattern)) < Math.abs(off(near.pattern)) ? each : near,
  );
  return { ...pattern, restsOnGuess: alike.length > 1 };
}

/** The pattern that the likeliest window settles on. */
function bestOf(
  points: readonly number[],
  windows: readonly (readonly number[])[],
  sd: number,
): RepeatingPattern | null {
  let best: readonly number[] | null = null;
  let least = Infinity;
  for (const widths of windows) {
    const { cost } = assignToPattern(points, widths, sd);
    if (cost < least) [best, least] = [widths, cost];
  }
  return best && settle(points, best, sd);
}

/** From each slot to the next. */
export function widthsOf({
  phases,
  period,
}: Pick<RepeatingPattern, 'phases' | 'period'>): number[] {
  return phases.map((phase, i) => (phases[i + 1] ?? phases[0]! + period) - phase);
}

/** Runs of neighbouring gaps that add up to about a period, taken evenly from all of them. */
function windowsOf(points: readonly number[], slots: number, period: number): number[][] {
  const windows: number[][] = [];
  for (let start = 0; start + slots < points.length; start++) {
    const length = points[start + slots]! - points[start]!;
    if (length < period / MOST_OFF || length > period * MOST_OFF) continue;
    windows.push(
      Array.from({ length: slots }, (_, i) => points[start + i + 1]! - points[start + i]!),
    );
  }
  const most = Math.max(FEWEST_WINDOWS, MOST_WINDOWS / Math.sqrt(slots));
  const step = Math.max(1, windows.length / most);
  return windows.filter((_, i) => Math.floor(i / step) !== Math.floor((i - 1) / step));
}

/** Assigns and fits in turn until the same points stand in the same places. */
function settle(
  points: readonly number[],
  start: readonly number[],
  sd: number,
): RepeatingPattern | null {
  let widths = start;
  let spread = sd;
  let pattern: RepeatingPattern | null = null;
  let before = '';
  for (let round = 0; round < ROUNDS; round++) {
    const assigned = assignToPattern(points, widths, spread);
    const key = JSON.stringify(assigned.places);
    if (key === before) break;
    before = key;
    const next = fitPattern(points, assigned.places, widths.length, sd);
    if (!next) break;
    pattern = { ...next, doubled: assigned.doubled, restsOnGuess: false };
    widths = widthsOf(pattern);
    spread = spreadOf(pattern, sd);
  }
  return pattern;
}

/** How far points scatter about a pattern, pulled towards the guess where there are few. */
function spreadOf({ squares, freedom }: RepeatingPattern, sd: number): number {
  return Math.max(sd / 4, Math.sqrt((sd ** 2 + squares) / (1 + freedom)));
}

type Fitted = Omit<RepeatingPattern, 'doubled' | 'restsOnGuess'>;

/** Fits the pattern to the points that belong, leaving out those too far from it one by one. */
function fitPattern(
  points: readonly number[],
  assigned: readonly (PatternPlace | null)[],
  slots: number,
  sd: number,
): Fitted | null {
  const places = [...assigned];
  for (;;) {
    const fit = fitOnce(points, places, slots);
    if (!fit) return null;
    const spread = Math.sqrt((sd ** 2 + fit.squares) / (1 + fit.freedom));
    const sizes = fit.studentised.map((size) => Math.abs(size) / spread);
    const worst = sizes.reduce((most, size, i) => (size > sizes[most]! ? i : most), 0);
    if (!(sizes[worst]! > REJECT_BEYOND)) {
      const { studentised: _, ...pattern } = fit;
      return { ...pattern, places, missed: missedPlaces(places, slots) };
    }
    places[worst] = null;
  }
}

type Once = Omit<Fitted, 'places' | 'missed'> & {
  /** Residual of each point over the root of its own variance share; 0 for those left out. */
  readonly studentised: readonly number[];
};

/**
 * position = turn's start + slot's phase. Turns follow each other by one period, unless they are seen
 * not to: then each turn starts where its own points say.
 */
function fitOnce(
  points: readonly number[],
  places: readonly (PatternPlace | null)[],
  slots: number,
): Once | null {
  const kept = places.flatMap((place, index) => (place ? [{ ...place, index }] : []));
  const turns = [...new Set(kept.map(({ turn }) => turn))];
  const observed = kept.map(({ index }) => points[index]!);
  const even = leastSquares(
    kept.map(({ turn, slot }) => [turn, ...unit(slot, slots)]),
    observed,
  );
  if (!even || even.freedom < 0) return null;
  const evenPeriod = unit(0, slots + 1);
  const evenPhases = Array.from({ length: slots }, (_, i) => {
    const combination = unit(i + 1, slots + 1);
    combination[1]! -= 1;
    return combination;
  });
  const each = uneven(kept, observed, turns, slots, even);
  return each
    ? resultOf(each.fit, each.phases, each.period, kept, points.length, true)
    : resultOf(even, evenPhases, evenPeriod, kept, points.length, false);
}

interface Kept extends PatternPlace {
  readonly index: number;
}

/** The fit with a start of its own for each turn, where that is more than chance. */
function uneven(
  kept: readonly Kept[],
  observed: readonly number[],
  turns: readonly number[],
  slots: number,
  even: Solved,
): { fit: Solved; phases: number[][]; period: number[] } | null {
  if (slots < 2 || turns.length < 3) return null;
  const columns = turns.length + slots - 1;
  const fit = leastSquares(
    kept.map(({ turn, slot }) => [
      ...unit(turns.indexOf(turn), turns.length),
      ...unit(slot - 1, slots - 1),
    ]),
    observed,
  );
  if (!fit || fit.freedom < 2) return null;
  const gained = (even.squares - fit.squares) / (even.freedom - fit.freedom);
  const chance =
    1 - fCdf(gained / (fit.squares / fit.freedom), even.freedom - fit.freedom, fit.freedom);
  if (!(chance < UNEVEN_BELOW)) return null;
  const mean = sumOf(turns) / turns.length;
  const spread = turns.reduce((sum, turn) => sum + (turn - mean) ** 2, 0);
  const period = unit(-1, columns).map((_, j) =>
    j < turns.length ? (turns[j]! - mean) / spread : 0,
  );
  const phases = Array.from({ length: slots }, (_, i) =>
    unit(i === 0 ? -1 : turns.length + i - 1, columns),
  );
  return { fit, phases, period };
}

function resultOf(
  fit: Solved,
  phases: readonly (readonly number[])[],
  period: readonly number[],
  kept: readonly Kept[],
  count: number,
  isUneven: boolean,
): Once {
  const { solution, decomposition, squares, freedom, residuals, rows } = fit;
  const studentised = new Array<number>(count).fill(0);
  kept.forEach(({ index }, i) => {
    const factor = decomposition.factor(rows[i]!);
    const left = 1 - dot(factor, factor);
    if (left > 1e-6) studentised[index] = residuals[i]! / Math.sqrt(left);
  });
  return {
    slots: phases.length,
    period: dot(period, solution),
    phases: phases.map((combination) => dot(combination, solution)),
    phaseFactors: phases.map((combination) => decomposition.factor(combination)),
    periodFactor: decomposition.factor(period),
    squares,
    freedom,
    isUneven,
    studentised,
  };
}

interface Solved {
  readonly rows: readonly number[][];
  readonly solution: Float64Array;
  readonly decomposition: Decomposition;
  readonly residuals: readonly number[];
  readonly squares: number;
  readonly freedom: number;
}

/** Null where the rows do not determine every column. */
function leastSquares(rows: readonly number[][], observed: readonly number[]): Solved | null {
  const columns = rows[0]?.length ?? 0;
  if (rows.length < columns || columns === 0) return null;
  // Positions are large and their scatter small: the mean goes off before anything is squared.
  const mean = sumOf(observed) / observed.length;
  const centred = observed.map((value) => value - mean);
  const triangle = triangleOf(rows, centred, columns);
  const decomposition = new Decomposition(triangle, rows.length);
  if (decomposition.rank < columns) return null;
  const solution = solveTriangle(triangle);
  const residuals = rows.map((row, i) => centred[i]! - dot(row, solution));
  const squares = dot(residuals, residuals);
  return { rows, solution, decomposition, residuals, squares, freedom: rows.length - columns };
}

/** Places between the first and the last point that no point stands in. */
function missedPlaces(places: readonly (PatternPlace | null)[], slots: number): PatternPlace[] {
  const seen = places.flatMap((place) => (place ? [place.turn * slots + place.slot] : []));
  const all = new Set(seen);
  const [first, last] = [Math.min(...seen), Math.max(...seen)];
  const missed: PatternPlace[] = [];
  for (let at = first; at <= last; at++) {
    if (!all.has(at)) missed.push({ turn: Math.floor(at / slots), slot: at % slots });
  }
  return missed;
}

function unit(at: number, size: number): number[] {
  return Array.from({ length: size }, (_, i) => (i === at ? 1 : 0));
}

function sumOf(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0);
}
