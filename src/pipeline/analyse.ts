import { readBoards } from '../boards/read-boards.js';
import type { Reading } from '../boards/reading.js';
import type { BoardFit } from '../decide/board-fit.js';
import type { Target } from '../decide/moves.js';
import {
  type Standing,
  standingDraws,
  standingOf,
  unknownStanding,
  type Verdicts,
  verdictsOf,
} from '../decide/standing.js';
import { type Disagreement, disagreementOf, labelsByChance } from '../diagnose/disagreement.js';
import { initialSd } from '../fit/problem.js';
import type { Insistence } from '../fit/robust.js';
import type { Machine } from '../machine/machine.js';
import { readMachine } from '../machine/read-machine.js';
import { hasErrors, type Notice } from '../notices/notice.js';
import type { Result } from '../record/result.js';
import { type Spoken, spokenIn } from '../units/spoken.js';
import { movesFor, NO_MOVES } from './choose-moves.js';
import { findings } from './findings.js';
import { insistenceOf, isAmong, type ReadingPlace } from './insistence.js';
import { boardsAlone, type Instruments, instrumentsOf } from './instruments.js';
import { noiseOf } from './noises.js';
import { questionsOf } from './questions.js';
import type { InstrumentFiles } from './read-instruments.js';
import {
  evidenceOf,
  finishOf,
  fitSummaryOf,
  NO_EVIDENCE,
  readingLists,
  standingParts,
} from './result-parts.js';
import { type SourceFile, sha256Of } from './source.js';
import { targetOf } from './target.js';

export interface AnalyseOptions extends InstrumentFiles {
  /** `mean` (the default), `bed`, `highest`, `lowest`, or a knife's id. */
  readonly target?: string;
  readonly exclude?: readonly ReadingPlace[];
  readonly use?: readonly ReadingPlace[];
  /** When the result is made. */
  readonly date: Date;
  /** The unit in which messages speak; the machine file's, when not given. */
  readonly unit?: 'mm' | 'in';
}

/** A result, or none where the input has errors; every notice either way. */
export interface Analysed {
  readonly machine: Machine | null;
  readonly result: Result | null;
  readonly notices: readonly Notice[];
}

/**
 * From a machine file and files of readings to a result: knives, bed, verdicts and moves.
 *
 * @param machineFile TOML
 * @param readingFiles CSV, one or more, in any of the dialects that are understood
 * @param options among them the files of other instruments, which go into the same fit
 */
export async function analyse(
  machineFile: SourceFile,
  readingFiles: readonly SourceFile[],
  options: AnalyseOptions,
): Promise<Analysed> {
  const { machine, notices } = await readMachine(machineFile);
  if (!machine) return { machine, result: null, notices };
  const read = readBoards(readingFiles, machine);
  const instruments = await instrumentsOf(machine, options);
  const { target, notices: targetNotices } = targetOf(machine, options.target ?? 'mean');
  const { exclude = [], use = [] } = options;
  const { insistence, notices: placeNotices } = insistenceOf(
    read.readings,
    exclude,
    use,
    instruments.places,
  );
  const early = [...read.notices, ...instruments.notices];
  const readable = hasErrors(early) ? [] : [...placeNotices, ...severalRuns(read.readings)];
  const all = [...notices, ...early, ...targetNotices, ...readable];
  if (hasErrors(all)) return { machine, result: null, notices: all };
  const { gauge = [], carry = [], marks = [] } = options;
  const files = await Promise.all(
    [...readingFiles, ...gauge, ...carry, ...marks].map(async (file) => ({
      name: file.name,
      sha256: await sha256Of(file),
    })),
  );
  const result = resultOf({
    machine,
    readings: read.readings,
    insistence,
    instruments,
    exclude,
    use,
    target,
    targetName: options.target ?? 'mean',
    files,
    date: options.date,
    spoken: spokenIn(options.unit ?? machine.unit),
    notices: all,
  });
  // Labels that cannot be right come to light only where ridges are fitted.
  return { machine, result: hasErrors(result.notices) ? null : result, notices: result.notices };
}

interface Job {
  readonly machine: Machine;
  readonly readings: readonly Reading[];
  readonly insistence: Insistence;
  readonly instruments: Instruments;
  /** Places that are to be left out and kept, of whatever was read there. */
  readonly exclude: readonly ReadingPlace[];
  readonly use: readonly ReadingPlace[];
  readonly target: Target;
  readonly targetName: string;
  readonly files: Result['files'];
  readonly date: Date;
  readonly spoken: Spoken;
  readonly notices: readonly Notice[];
}

function resultOf(job: Job): Result {
  const { machine, readings } = job;
  const fitted = job.instruments.fit(readings, job.insistence, job);
  const { boards, foundLock } = fitted;
  const { fit } = boards.robust;
  const lists = readingLists(boards, job.insistence, machine.unit);
  const disagreement = disagreementOf({
    readings,
    misreads: lists.misreads,
    residualSd: fit.noise[0]!.residualSd,
    readingSd: initialSd(noiseOf(machine.instrument)),
    labelsByChance: () => labelsByChance(boards.problem, boards.model.layout, readings, fit.kept),
  });
  const standing = standingIn(job, boards, disagreement);
  const open = disagreement ? null : questionsOf(machine, readings, boards, standing, job.spoken);
  const draws = standingDraws(standing);
  const { isContradicted } = fitted;
  const chosen =
    draws && !isContradicted ? movesFor(machine, standing, draws, job.target) : NO_MOVES;
  const evidence = disagreement ? NO_EVIDENCE : evidenceOf(machine, boards, standing);
  return {
    schema: 'proofboard/result@1',
    date: job.date.toISOString(),
    measuredBy: measuredBy(readings),
    set: machine.set,
    machine: { name: machine.name, knives: machine.block.knives },
    tolerance: machine.tolerance,
    instrument: {
      resolution: machine.instrument.resolution,
      maxError: machine.instrument.maxError,
    },
    files: job.files,
    readings: {
      ...lists.readings,
      insistedOn: [...lists.readings.insistedOn, ...usedElsewhere(job)],
    },
    fitted: lists.fitted,
    instruments: fitted.standings,
    fit: fitSummaryOf(
      boards,
      open?.undetermined ?? ['everything: the boards and their description disagree'],
    ),
    ...standingParts(machine, standing),
    ...fitted.body,
    finish: finishOf(machine, boards, standing),
    faults: [],
    evidence,
    target: { name: job.targetName },
    moves: chosen.moves,
    expected: chosen.expected,
    verdicts: disagreement
      ? { knives: 'undecided', bed: 'undecided', together: 'undecided' }
      : verdictsGiven(verdictsOf(machine, standing, draws), isContradicted),
    notices: [
      ...job.notices,
      ...findings({ ...job, boards, standing, lists, disagreement, foundLock, evidence }),
      ...fitted.notices,
      ...(open?.notices ?? []),
      ...chosen.notices,
    ],
  };
}

/** Places of other instruments' readings that their owner insists on. */
function usedElsewhere({ instruments, use }: Job): readonly ReadingPlace[] {
  return use.filter((place) => isAmong(instruments.places, place));
}

/** While an instrument contradicts the boards, no knife is inside or outside beyond doubt. */
function verdictsGiven(verdicts: Verdicts, isContradicted: boolean): Verdicts {
  return isContradicted ? { ...verdicts, knives: 'undecided', together: 'undecided' } : verdicts;
}

/**
 * What is known. Where boards and description disagree no knife is; full boards carry no knife's
 * label, and still tell how boards come out. They do so too where only their own wood ties both
 * ends together.
 */
function standingIn(job: Job, boards: BoardFit, disagreement: Disagreement | null): Standing {
  const { machine } = job;
  const standing = disagreement ? unknownStanding(machine) : standingOf(machine, boards);
  if (standing.taper) return standing;
  const alone = fullBoardsAlone(job, disagreement);
  if (!alone) return standing;
  return disagreement ? alone : { ...standing, taper: alone.taper };
}

/** Full boards fitted by themselves, but for one that is itself what is wrong. */
function fullBoardsAlone(
  { machine, readings, insistence }: Job,
  disagreement: Disagreement | null,
): Standing | null {
  const wrong = disagreement?.kind === 'misreads' ? disagreement.board : null;
  const full = readings.filter(
    ({ cut, board }, index) => cut === 'full' && board !== wrong && !insistence.exclude.has(index),
  );
  if (full.length === 0) return null;
  const none = { exclude: new Set<number>(), use: new Set<number>() };
  return standingOf(machine, boardsAlone(machine, full, none).boards);
}

/** Whether a result answers everything that was asked of it. */
export function answersEverything(result: Result): boolean {
  const knifeEnds = result.knives.flatMap(({ ends }) => ends);
  if (result.instruments.some(({ agrees }) => agrees === false)) return false;
  return knifeEnds.every(({ offset }) => offset !== null) && result.bed.tilt !== null;
}

function measuredBy(readings: readonly Reading[]): string | null {
  const names = [...new Set(readings.map(({ by }) => by).filter((by) => by !== null))];
  return names.length > 0 ? names.join(', ') : null;
}

/** Knives may have been turned between runs, so one fit of several runs would mix them up. */
function severalRuns(readings: readonly Reading[]): Notice[] {
  const runs = [...new Set(readings.map(({ run }) => run).filter((run) => run !== null))];
  if (runs.length < 2) return [];
  const first = readings.find(({ run }) => run === runs[1])!;
  return [
    {
      code: 'several-runs',
      severity: 'error',
      message: `readings of runs ${runs.join(', ')} stand together, and knives may have been turned between them`,
      file: first.file,
      line: first.line,
      found: `runs ${runs.join(', ')}`,
      expected: 'readings of one run',
      hint: 'keep one file a run: analyse the first, confirm the next with --against',
    },
  ];
}
