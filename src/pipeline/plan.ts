import type { Cut } from '../boards/reading.js';
import type { Machine } from '../machine/machine.js';
import { readMachine } from '../machine/read-machine.js';
import { hasErrors, type Notice } from '../notices/notice.js';
import { readingsOf, underNewNames } from '../plan/boards.js';
import { minutesOf } from '../plan/minutes.js';
import type { Plan, PlannedBoard } from '../record/plan.js';
import type { Result } from '../record/result.js';
import { type Spoken, spokenIn } from '../units/spoken.js';
import { convention } from './findings.js';
import { type CountedPlace, countedPlaces, type Foretelling, foretell } from './foretell.js';
import { anotherMachine, type EarlierResult } from './foretell-marks.js';
import { boardsIn, type MeasuredBefore } from './measured-before.js';
import { foretoldOf } from './plan-expected.js';
import { contributions } from './plan-explain.js';
import { type Fixed, freshBoards } from './plan-fresh.js';
import { gaugeInstead } from './plan-gauge.js';
import { besideInstruments } from './plan-known.js';
import { nextBoards } from './plan-next.js';
import { freshNotices, nextNotices } from './plan-notices.js';
import { overturningReadings, unlistedMoves } from './plan-overturning.js';
import { lacksForPlan } from './plan-result.js';
import { smallerPlan } from './plan-smaller.js';
import { provenLeader } from './proven-leader.js';
import { questionsOf } from './questions.js';
import type { SourceFile } from './source.js';

export interface PlanOptions {
  /** How many stations across strips are laid at; chosen where not given. */
  readonly stations?: number;
  /** How many times round all knives cut a strip, or a planed face is measured along. */
  readonly repeats?: number;
  /** Ways of cutting that may be used; full and hand where not given. */
  readonly cuts?: readonly Cut[];
  /** An earlier result: then what is still open in it is planned for. */
  readonly result?: EarlierResult;
  /** Whether to say what each place contributes. */
  readonly explain?: boolean;
  /** The unit in which messages speak; the machine file's, when not given. */
  readonly unit?: 'mm' | 'in';
}

/** A plan, or none where the input has errors; every notice either way. */
export interface Planned {
  readonly machine: Machine | null;
  readonly plan: Plan | null;
  readonly notices: readonly Notice[];
}

/** Boards, and what they stand on: what was measured before, and what of that is open. */
interface Design {
  readonly boards: readonly PlannedBoard[];
  readonly places: readonly CountedPlace[];
  readonly before: MeasuredBefore | null;
  readonly foretelling: Foretelling;
  readonly notices: readonly Notice[];
}

/**
 * Which boards to cut, where to measure them, and what that will tell: from the rows that the readings
 * will have, before there is any. With an earlier result, what is best measured next.
 *
 * @param machineFile TOML
 */
export async function planBoards(
  machineFile: SourceFile,
  options: PlanOptions = {},
): Promise<Planned> {
  const { machine, notices } = await readMachine(machineFile);
  if (!machine) return { machine, plan: null, notices };
  const wrong = [
    ...badOptions(options),
    ...(options.result ? [unusable(machine, options.result)] : []),
  ];
  const errors = [...notices, ...wrong.filter((notice) => notice !== null)];
  if (hasErrors(errors)) return { machine, plan: null, notices: errors };
  const spoken = spokenIn(options.unit ?? machine.unit);
  const isSafe = !notices.some(({ code }) => NOT_UNDER_POWER.includes(code));
  const design = designOf(machine, options, isSafe, spoken);
  const plan = planOf(machine, options, design, isSafe, spoken);
  return {
    machine,
    plan: { ...plan, notices: [...notices, ...plan.notices] },
    notices: [...notices, ...plan.notices],
  };
}

/** What is wrong with a machine that may not be run as it is. */
const NOT_UNDER_POWER: readonly string[] = ['over-projection', 'over-speed'];

function unusable(machine: Machine, result: EarlierResult): Notice | null {
  return anotherMachine(machine, result) ?? lacksForPlan(result);
}

function designOf(machine: Machine, options: PlanOptions, isSafe: boolean, spoken: Spoken): Design {
  const { stations, repeats, result: earlier } = options;
  const isFixed = stations !== undefined || repeats !== undefined || options.cuts !== undefined;
  const result = earlier?.result ?? null;
  const unsafe = isSafe ? [] : [notUnderPower()];
  if (result && !isFixed && canBeBuiltOn(result)) {
    const next = nextBoards(machine, result, isSafe);
    const notices = [...unsafe, ...nextNotices(machine, result, next, spoken)];
    const { boards, places, before } = next;
    const all = [...before.places, ...places];
    const alone = foretell(before.machine, all, undefined, before.heights);
    return { boards, places, before, foretelling: besideInstruments(alone, result), notices };
  }
  // What boards under power tell, such a result has told already.
  const isAsked = result !== null && saysBoards(result);
  const wanted: readonly Cut[] = options.cuts ?? (isAsked ? ['hand'] : ['full', 'hand']);
  const fixed: Fixed = {
    cuts: isSafe ? wanted : wanted.filter((cut) => cut === 'hand'),
    ...(stations === undefined ? {} : { stations }),
    ...(repeats === undefined ? {} : { repeats }),
    leader: result ? provenLeader(machine, result) : null,
  };
  const boards = underNewNames(freshBoards(machine, fixed), result ? boardsIn(result) : []);
  const places = countedPlaces(boards);
  const foretelling = foretell(machine, places);
  const told = freshNotices(machine, { boards, fixed, foretelling, result }, spoken);
  return { boards, places, before: null, foretelling, notices: [...unsafe, ...told] };
}

function notUnderPower(): Notice {
  return {
    code: 'not-under-power',
    severity: 'warning',
    message: 'no board is planned under power: this machine may not be run as it is',
    hint: 'put that right first; see what is said of the machine file',
  };
}

/** Whether the cheap question has been answered: how boards come out that were cut under power. */
function saysBoards({ board }: Result): boolean {
  return board.taper !== null;
}

/** Of boards that disagree, or were all cut under power, nothing can be built on: a new start is due. */
function canBeBuiltOn({ knives, fitted, notices }: Result): boolean {
  if (knives.some(({ ends }) => ends.some(({ offset }) => offset !== null))) return true;
  const disagree = notices.some(({ code }) => code === 'boards-disagree');
  return !disagree && fitted.some(({ cut }) => cut !== 'full');
}

function planOf(
  machine: Machine,
  { result: earlier, explain }: PlanOptions,
  { boards, places, before, foretelling, notices }: Design,
  isSafe: boolean,
  spoken: Spoken,
): Plan {
  const measured = before?.places ?? [];
  const heights = before?.heights ?? null;
  const asMeasured = before?.machine ?? machine;
  const readings = [...measured, ...places].map(({ reading }) => reading);
  const { boards: fit, standing } = foretelling;
  const questions = questionsOf(machine, readings, fit, standing, spoken);
  const underPower = boards.filter(({ cut }) => cut === 'full');
  const overturning =
    earlier && before ? overturningReadings(machine, earlier.result, before) : null;
  return {
    schema: 'proofboard/plan@1',
    machine: { name: machine.name, knives: machine.block.knives },
    boards,
    readings: boards.reduce((sum, board) => sum + readingsOf(board), 0),
    minutes: Math.round(minutesOf(boards)),
    expected: foretoldOf(machine, standing),
    undetermined: questions.undetermined,
    smaller: before ? null : smallerPlan(machine, boards),
    ...(earlier && before ? { earlierFiles: earlier.result.files.map(({ name }) => name) } : {}),
    // All of these ways need boards planed under power beside them.
    instead:
      before || !isSafe || machine.block.knives.length < 2
        ? []
        : [gaugeInstead(machine, underPower)],
    ...(explain ? { explain: contributions(asMeasured, boards, places, measured, heights) } : {}),
    ...(overturning ? { overturning } : {}),
    notices: [
      convention(fit),
      ...questions.notices.filter(({ code }) => code !== 'next-board'),
      ...(earlier && overturning ? unlistedMoves(earlier.result, overturning.length) : []),
      ...notices,
    ],
  };
}

/** Whether a plan will leave nothing open that was asked of it. */
export function plansEverything({ undetermined }: Plan): boolean {
  return undetermined.length === 0;
}

const MOST_STATIONS = 24;
const MOST_REPEATS = 24;
const CUTS: readonly string[] = ['hand', 'proud', 'full'];

function badOptions({ stations, repeats, cuts }: PlanOptions): Notice[] {
  const count = (name: string, value: number | undefined, most: number): Notice[] =>
    value === undefined || (Number.isInteger(value) && value >= 1 && value <= most)
      ? []
      : [
          {
            code: 'bad-option',
            severity: 'error',
            message: `${name} is not a number that can be planned`,
            found: String(value),
            expected: `a whole number from 1 to ${most}`,
            hint: 'give another, or leave it out to have it chosen',
          },
        ];
  const strange = (cuts ?? []).filter((cut) => !CUTS.includes(cut));
  return [
    ...count('--stations', stations, MOST_STATIONS),
    ...count('--repeats', repeats, MOST_REPEATS),
    ...(strange.length > 0 || cuts?.length === 0
      ? [
          {
            code: 'bad-option',
            severity: 'error',
            message: '--cuts has no such way of cutting',
            found: strange.join(', ') || 'nothing',
            expected: CUTS.join(', '),
            hint: 'give one or several of them, with commas between, such as hand,full',
          } as const,
        ]
      : []),
  ];
}
