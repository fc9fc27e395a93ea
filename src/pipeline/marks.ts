import { readRidges } from '../boards/read-ridges.js';
import type { Machine } from '../machine/machine.js';
import { readMachine } from '../machine/read-machine.js';
import { hasErrors, type Notice } from '../notices/notice.js';
import type { MarksReport } from '../record/marks.js';
import { fedMachine } from './fed-machine.js';
import { type EarlierResult, foretellMarks } from './foretell-marks.js';
import { type MeasuredMarks, measuredMarks } from './measured-marks.js';
import type { SourceFile } from './source.js';
import type { Wish } from './wanted-feeds.js';

export interface MarksOptions {
  /** An earlier result, whose heights the marks are foretold from. */
  readonly result?: EarlierResult;
  /** What is wanted of a feed. */
  readonly wishes?: readonly Wish[];
  /** mm/min, in place of the machine file's. */
  readonly feedSpeed?: number;
  /** The unit in which messages speak and feeds are round; the machine file's, when not given. */
  readonly unit?: 'mm' | 'in';
}

/** What knife marks say, or nothing where the input has errors; every notice either way. */
export interface Marks {
  readonly machine: Machine | null;
  readonly report: MarksReport | null;
  readonly notices: readonly Notice[];
}

/**
 * Knife marks: what the feed will leave on a board, or what ridges measured on boards say.
 *
 * @param machineFile TOML
 * @param markFiles CSV, ridges read along boards; none to foretell the marks
 */
export async function marks(
  machineFile: SourceFile,
  markFiles: readonly SourceFile[],
  options: MarksOptions = {},
): Promise<Marks> {
  const { machine, notices: fromMachine } = await readMachine(machineFile);
  if (!machine) return { machine, report: null, notices: fromMachine };
  const { fed, notices: fromFeed } = fedMachine(machine, machineFile.name, options.feedSpeed);
  if (!fed) return { machine, report: null, notices: [...fromMachine, ...fromFeed] };
  const { result = null, wishes = [], unit = machine.unit } = options;
  if (markFiles.length > 0) {
    const read = readRidges(markFiles, machine);
    const early = [...fromMachine, ...read.notices];
    if (hasErrors(early)) return { machine, report: null, notices: early };
    return reported(machine, early, measuredMarks(fed, read.ridges, result, wishes, unit));
  }
  const foretold = foretellMarks(fed, result, wishes, unit);
  return reported(machine, fromMachine, { ...foretold, reading: null });
}

function reported(machine: Machine, early: readonly Notice[], found: MeasuredMarks): Marks {
  const notices = [...early, ...found.notices];
  if (hasErrors(notices)) return { machine, report: null, notices };
  return { machine, report: { schema: 'proofboard/marks@1', ...found, notices }, notices };
}

/** Whether it is told of every knife and mark what it is. */
export function marksAreSettled({ stations }: MarksReport): boolean {
  return (
    stations.length > 0 &&
    stations.every(
      ({ ambiguous, knives }) => !ambiguous && knives.every(({ shows }) => shows !== null),
    )
  );
}
