import { readBoards } from '../boards/read-boards.js';
import type { Reading } from '../boards/reading.js';
import type { Machine } from '../machine/machine.js';
import { readMachine } from '../machine/read-machine.js';
import type { Notice } from '../notices/notice.js';
import type { SourceFile } from './source.js';

/** What a machine file and files of readings were understood to say. */
export interface Understood {
  readonly machine: Machine | null;
  readonly readings: readonly Reading[];
  readonly notices: readonly Notice[];
}

/** Reads a machine file, and readings where any are given, without fitting anything. */
export async function understand(
  machineFile: SourceFile,
  readingFiles: readonly SourceFile[],
): Promise<Understood> {
  const { machine, notices } = await readMachine(machineFile);
  if (!machine || readingFiles.length === 0) return { machine, readings: [], notices };
  const read = readBoards(readingFiles, machine);
  return { machine, readings: read.readings, notices: [...notices, ...read.notices] };
}
