import type { Reading } from '../boards/reading.js';
import type { Machine } from '../machine/machine.js';
import { stationsOf } from '../model/stations.js';
import type { Notice } from '../notices/notice.js';
import type { Spoken } from '../units/spoken.js';

/** What is known and what is not, as far as the questions go. */
export interface Answers {
  /** Indices of the knives whose heights are compared with each other. */
  readonly group: readonly number[];
  /** Whether each knife is known at both ends. */
  readonly knifeKnown: readonly boolean[];
  readonly tiltKnown: boolean;
  readonly taperKnown: boolean;
  readonly crownKnown: boolean;
}

export interface OpenQuestions {
  /** In words, what the boards leave open. */
  readonly undetermined: readonly string[];
  readonly notices: readonly Notice[];
}

/** Says what the boards leave open, why, and which board would tell. */
export function openQuestions(
  machine: Machine,
  readings: readonly Reading[],
  answers: Answers,
  spoken: Spoken,
): OpenQuestions {
  const undetermined: string[] = [];
  const known = answers.group.map((knife) => machine.block.knives[knife]!);
  machine.block.knives.forEach((id, knife) => {
    if (!answers.knifeKnown[knife])
      undetermined.push(`knife ${id}: ${whyUnknown(machine, readings, id, known)}`);
  });
  if (!answers.tiltKnown) undetermined.push(`bed tilt: ${whyNoTilt(machine, answers)}`);
  const notices: Notice[] = grouped(undetermined).map((text) => ({
    code: 'not-determined',
    severity: 'warning',
    message: `not determined: ${text}`,
  }));
  if (!answers.taperKnown) notices.push(noTaper(machine, readings));
  if (!answers.crownKnown) {
    notices.push({
      code: 'crown-not-determined',
      severity: 'info',
      message:
        'the crown is not known: it takes two knives that can be compared, cut alone at three places across',
    });
  }
  const unknown = answers.knifeKnown.filter((known) => !known).length;
  if (unknown > 0 && answers.group.length >= 2) notices.push(meanOfSome(machine, answers.group));
  if (undetermined.length > 0 && machine.block.knives.length > 1) {
    notices.push(nextBoard(machine, spoken));
  }
  return { undetermined, notices };
}

function whyNoTilt(machine: Machine, { group }: Answers): string {
  if (machine.block.knives.length < 2) return 'with one knife it cannot be told from that knife';
  if (group.length < 2)
    return 'it is measured against the mean of at least two knives that can be compared';
  const lock = machine.bed.repeatability === null ? ', and the bed lock is of unknown worth' : '';
  return `the boards at the ${machine.adjusters.names.join(' and at the ')} are not tied together${lock}`;
}

function noTaper(machine: Machine, readings: readonly Reading[]): Notice {
  const { names } = machine.adjusters;
  const full = readings.some(({ cut }) => cut === 'full');
  return {
    code: 'taper-not-determined',
    severity: 'info',
    message: full
      ? 'the taper of full boards is not known: they do not tie both ends together'
      : 'the taper of full boards is not known: none was measured, and the knives do not foretell it',
    hint: `plane one board under power and measure it near the ${names[0]} and near the ${names[1]} outer adjuster`,
  };
}

/** Knives that are unknown for the same reason, in one sentence. */
function grouped(undetermined: readonly string[]): string[] {
  const subjects = new Map<string, string[]>();
  for (const text of undetermined) {
    const [subject, reason] = text.split(/: (.*)/s) as [string, string];
    subjects.set(reason, [...(subjects.get(reason) ?? []), subject]);
  }
  return [...subjects].map(([reason, names]) => {
    if (names.length === 1) return `${names[0]}: ${reason}`;
    return `knives ${names.map((name) => name.replace(/^knife /, '')).join(', ')}: ${reason}`;
  });
}

function whyUnknown(
  machine: Machine,
  readings: readonly Reading[],
  id: string,
  group: readonly string[],
): string {
  if (machine.block.knives.length < 2) return 'there is no other knife to compare it with';
  const own = readings.filter(({ knife }) => knife === id);
  if (own.length === 0) {
    return 'never cut alone; a full board shows only the highest knives, and not which they are';
  }
  const { at } = machine.adjusters;
  if (stationsOf(own, at.at(-1)! - at[0]!).length < 2)
    return 'measured at one place across only, so its slope is open';
  const others = readings.filter(
    ({ knife, cut }) =>
      knife !== id && cut !== 'full' && (group.length === 0 || group.includes(knife)),
  );
  if (others.length === 0) return 'no other knife was cut alone to compare it with';
  const settings = new Set(own.map(({ setting }) => setting));
  if (!others.some(({ setting }) => settings.has(setting))) {
    return 'the bed was moved between its boards and those of the other knives';
  }
  const ways = new Set(own.map(({ cut }) => cut));
  if (!others.some(({ cut }) => ways.has(cut))) {
    return 'cut under power where the other knives were cut by hand, and the gap differs';
  }
  return 'nothing ties its boards to those of the other knives';
}

function meanOfSome(machine: Machine, group: readonly number[]): Notice {
  const ids = group.map((knife) => machine.block.knives[knife]).join(', ');
  return {
    code: 'mean-of-some-knives',
    severity: 'warning',
    message: `offsets are against the mean of knives ${ids} only: the others cannot be compared with them`,
  };
}

/** The board to cut next: all knives side by side at one locked bed height. */
export function nextBoard(machine: Machine, spoken: Spoken): Notice {
  const { at } = machine.adjusters;
  const [front, back] = [at[0]!, at.at(-1)!];
  const places = [0, 1, 2, 3, 4].map((i) => front + (i * (back - front)) / 4);
  return {
    code: 'next-board',
    severity: 'info',
    message:
      `the board to cut next: by hand, machine isolated and bed locked once for all of it, ` +
      `each of knives ${machine.block.knives.join(', ')} its own scoop beside the others, at x = ${places.map(spoken.place).join(', ')}, four times round`,
    hint: 'on one wide board, or on a narrow strip at each place; turn the block by its pulley or belt',
  };
}
