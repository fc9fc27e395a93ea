import type { Machine } from '../machine/machine.js';
import type { Notice } from '../notices/notice.js';
import type { InputFile } from './decode.js';
import type { Place } from './indexes.js';
import { type RowForm, readRows } from './named-rows.js';
import { orEmpty } from './no-table.js';
import { openNamedTable } from './open-table.js';
import { readFiles } from './read-files.js';
import type { FileReadings } from './repeats.js';

/**
 * Reads files of one instrument, in whatever dialect each is written.
 * @returns all readings in mm, in the order of the files and their rows, or none where any notice is
 * an error
 */
export function readInstrument<R extends Place>(
  files: readonly InputFile[],
  machine: Machine,
  form: RowForm<R>,
): { readonly readings: readonly R[]; readonly notices: readonly Notice[] } {
  return readFiles(files, form.kind, (file) => readFile(file, machine, form));
}

function readFile<R extends Place>(
  file: InputFile,
  machine: Machine,
  form: RowForm<R>,
): FileReadings<R> {
  const { named, notices } = openNamedTable(file, form.kind);
  if (!named) return { readings: [], keys: [], notices };
  const read = readRows(named, machine, form);
  const all = { ...read, notices: [...notices, ...read.notices] };
  return orEmpty(all, named.table, named.header.line, form.kind);
}
