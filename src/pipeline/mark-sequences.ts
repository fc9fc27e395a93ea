import type { Ridge } from '../boards/instrument-reading.js';
import { findPattern, type RepeatingPattern } from '../fit/pattern.js';
import type { Noise } from '../fit/problem.js';
import { feedPerKnife, type Machine } from '../machine/machine.js';
import type { Notice } from '../notices/notice.js';
import { inOrder, labelsOf } from './mark-labels.js';

/** The ridges of one board at one x, and the pattern that they repeat. */
export interface MarkSequence {
  readonly board: string;
  readonly x: number;
  /** Ascending along the board. */
  readonly ridges: readonly Ridge[];
  readonly pattern: RepeatingPattern;
  /** The knife of each mark of a revolution as the labels say; null where they do not. */
  readonly labels: readonly (number | null)[];
  /** What rounding to a coarse division leaves in every revolution alike, standard deviation, mm. */
  readonly rounding: number;
}

export interface MarkSequences {
  readonly sequences: readonly MarkSequence[];
  /** The noise of one ridge's position: how ridges scatter about their patterns. */
  readonly noise: { readonly sd: number; readonly degreesOfFreedom: number };
  readonly notices: readonly Notice[];
}

/**
 * One ridge's position along a board, mm, before any scatter is seen: a rule with a loupe;
 * common practice, no source.
 */
const RIDGE_SD = 0.05;
/** Degrees of freedom that this is worth beside the scatter: little, since photographs do better. */
const GUESS_FREEDOM = 1;
/** Degrees of freedom that the ridges' own scatter is worth in a fit of several stations. */
const FIT_FREEDOM = 6;
/** Fewer revolutions than this show no pattern that repeats. */
const FEWEST_TURNS = 2;
/** How far the true feed is from the nominal one: standard deviation of its logarithm. */
const FEED_SD = 0.1;
/** How well labels tell the period, likewise, and from so many returns of a knife on. */
const LABELLED_SD = 0.03;
const FEWEST_LABELLED = 3;

/**
 * The noise of ridges as the fit takes it: estimated already, but worth only little there, since how
 * far stations differ among themselves by the edges' form is yet to be seen.
 */
export function ridgeNoise({ sd, degreesOfFreedom }: MarkSequences['noise']): Noise {
  const guessDegreesOfFreedom = Math.min(degreesOfFreedom, FIT_FREEDOM);
  return { kind: 'estimated', guess: sd, guessDegreesOfFreedom };
}

/**
 * Sorts ridges by board and x, and finds in each row of ridges the pattern that it repeats. The
 * nominal feed only tells a revolution from its multiples.
 *
 * @param machine must have a feed
 */
export function markSequences(machine: Machine, ridges: readonly Ridge[]): MarkSequences {
  const most = machine.block.knives.length;
  const nominal = feedPerKnife(machine)! * most;
  const groups = new Map<string, Ridge[]>();
  for (const ridge of ridges) {
    const key = JSON.stringify([ridge.board, ridge.x]);
    groups.set(key, [...(groups.get(key) ?? []), ridge]);
  }
  const sequences: MarkSequence[] = [];
  const notices: Notice[] = [];
  for (const group of groups.values()) {
    const sorted = inOrder(machine, group);
    const pattern = findPattern(
      sorted.map(({ y }) => y),
      { ...periodGuess(sorted, nominal), most, sd: RIDGE_SD },
    );
    if (!pattern || turnsOf(pattern) < FEWEST_TURNS) {
      notices.push(noPattern(sorted[0]!, sorted.length, nominal));
      continue;
    }
    const labels = labelsOf(machine, sorted, pattern);
    notices.push(...labels.notices, ...patternNotices(sorted, pattern));
    const { board, x } = sorted[0]!;
    const rounding = commonRounding(sorted, pattern);
    sequences.push({ board, x, ridges: sorted, pattern, labels: labels.labels, rounding });
  }
  return { sequences, noise: pooledNoise(sequences), notices };
}

/** Divisions to which people read a rule, mm, coarse ones first. */
const DIVISIONS = [1, 25.4 / 32, 0.5, 25.4 / 64, 0.25, 0.2, 0.1, 0.05, 25.4 / 1000, 0.02];
/** Fewer ridges than this may all lie on divisions by chance. */
const ENOUGH = 6;

/**
 * Rounding averages out over revolutions only where it differs among them. Where ridges all lie on
 * the divisions of a rule and scatter less than rounding alone would make them, what is missing of
 * its variance stands in every revolution alike.
 */
function commonRounding(ridges: readonly Ridge[], { squares, freedom }: RepeatingPattern): number {
  if (ridges.length < ENOUGH || freedom < 1) return 0;
  const isOn = (division: number) =>
    ridges.every(({ y }) => Math.abs(y / division - Math.round(y / division)) < 1e-6);
  const division = DIVISIONS.find(isOn) ?? 0;
  return Math.sqrt(Math.max(0, division ** 2 / 12 - squares / freedom));
}

/** How many revolutions a pattern was seen in: from a ridge to its return is one. */
function turnsOf({ places, slots }: RepeatingPattern): number {
  return (places.filter((place) => place !== null).length - 1) / slots;
}

/**
 * The period that the feed foretells, or that labels tell: from one mark of a knife to its next one
 * is one revolution where all ridges are labelled, and a whole number of them where some are.
 */
function periodGuess(ridges: readonly Ridge[], nominal: number) {
  const all = ridges.every(({ knife }) => knife !== null);
  const periods = ridges.flatMap(({ knife, y }, i) => {
    const next = knife === null ? undefined : ridges.slice(i + 1).find((r) => r.knife === knife);
    if (!next) return [];
    const turns = all ? 1 : Math.max(1, Math.round((next.y - y) / nominal));
    return [(next.y - y) / turns];
  });
  if (periods.length < FEWEST_LABELLED) return { period: nominal, periodSd: FEED_SD };
  return { period: periods.sort((a, b) => a - b)[periods.length >> 1]!, periodSd: LABELLED_SD };
}

/** Rows of single marks scatter with the feed, and say least of how well ridges are read. */
function pooledNoise(sequences: readonly MarkSequence[]): MarkSequences['noise'] {
  const several = sequences.filter(({ pattern }) => pattern.slots > 1);
  const counted = several.length > 0 ? several : sequences;
  let squares = GUESS_FREEDOM * RIDGE_SD ** 2;
  let degreesOfFreedom = GUESS_FREEDOM;
  for (const { pattern } of counted) {
    squares += pattern.squares;
    degreesOfFreedom += pattern.freedom;
  }
  return { sd: Math.sqrt(squares / degreesOfFreedom), degreesOfFreedom };
}

function noPattern({ file, line, board }: Ridge, count: number, period: number): Notice {
  return {
    code: 'no-pattern',
    severity: 'warning',
    message: `the ridges of board ${board}, ${count} in number, do not cover two revolutions of about ${period.toFixed(2)} mm, and are left out`,
    file,
    line,
    expected: 'ridges over two revolutions or more, ten are good',
    hint: 'read more ridges one after another along the board; check the feed and the speed in the machine file, and the unit of y',
  };
}

function patternNotices(ridges: readonly Ridge[], pattern: RepeatingPattern): Notice[] {
  const notices: Notice[] = pattern.doubled.map((index) => ({
    code: 'ridge-doubled',
    severity: 'info',
    message: `this ridge stands where another was read already and is set aside`,
    file: ridges[index]!.file,
    line: ridges[index]!.line,
  }));
  pattern.places.forEach((place, index) => {
    if (place || pattern.doubled.includes(index)) return;
    const { file, line } = ridges[index]!;
    notices.push({
      code: 'ridge-set-aside',
      severity: 'warning',
      message: 'this ridge does not lie where the pattern of the others has one, and is set aside',
      file,
      line,
      hint: 'read it again',
    });
  });
  const { file, line, board } = ridges[0]!;
  if (pattern.missed.length > 0) {
    notices.push({
      code: 'ridges-missed',
      severity: 'info',
      message: `${pattern.missed.length} of the ridges of board ${board} between the first and the last were not read`,
      file,
      line,
    });
  }
  if (pattern.restsOnGuess) {
    notices.push({
      code: 'revolution-by-feed',
      severity: 'info',
      message: `the marks of board ${board} are so alike that only the feed of the machine file tells how many make a revolution`,
      file,
      line,
      hint: 'label the marks of two revolutions or more, and it rests on them',
    });
  }
  if (pattern.isUneven) {
    notices.push({
      code: 'uneven-feed',
      severity: 'warning',
      message: `board ${board} was fed unevenly: revolutions differ by more than the ridges scatter; each is taken by itself`,
      file,
      line,
      hint: 'clean and check the feed rollers; heights stand, the pitch is a mean',
    });
  }
  return notices;
}
