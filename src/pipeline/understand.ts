import { readBoards } from '../boards/read-boards.js';
import type { Reading } from '../boards/reading.js';
import { toLongCsv } from '../boards/write-long.js';
import { feedPerKnife, type Machine } from '../machine/machine.js';
import { readMachine } from '../machine/read-machine.js';
import type { Notice } from '../notices/notice.js';
import type { SourceFile } from './source.js';

/** What a machine file and files of readings were understood to say. */
export interface Understood {
  readonly machine: Machine | null;
  readonly readings: readonly Reading[];
  readonly notices: readonly Notice[];
  /** Feed a knife, mm; null where feed or speed is not given. */
  readonly feedPerKnife?: number | null;
}

/** Reads a machine file, and readings where any are given, without fitting anything. */
export async function understand(
  machineFile: SourceFile,
  readingFiles: readonly SourceFile[],
): Promise<Understood> {
  const { machine, notices } = await readMachine(machineFile);
  if (!machine) return { machine, readings: [], notices };
  const perKnife = feedPerKnife(machine);
  if (readingFiles.length === 0) {
    return { machine, readings: [], notices, feedPerKnife: perKnife };
  }
  const read = readBoards(readingFiles, machine);
  return {
    machine,
    readings: read.readings,
    notices: [...notices, ...read.notices],
    feedPerKnife: perKnife,
  };
}

/** The readings that were understood as CSV in long form, in mm. */
export function readingsAsCsv({ machine, readings }: Understood): string {
  return toLongCsv(readings, machine?.unit);
}
