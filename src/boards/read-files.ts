import { hasErrors, type Notice } from '../notices/notice.js';
import type { InputFile } from './decode.js';
import type { TableKind } from './kinds.js';
import { limitNotices } from './limit.js';
import { type FileReadings, repeatNotices } from './repeats.js';

/**
 * Reads files of one kind, each by itself, and looks for rows that stand in them twice.
 * @returns all readings or none, with the faults of all files: at most twenty errors a file, then how
 * many more there are
 */
export function readFiles<R>(
  files: readonly InputFile[],
  kind: TableKind,
  read: (file: InputFile) => FileReadings<R>,
): { readonly readings: readonly R[]; readonly notices: readonly Notice[] } {
  const perFile = files.map((file) => read(file));
  const twice = repeatNotices(
    perFile.flatMap(({ keys }) => keys),
    kind,
  );
  const notices = files.flatMap((file, at) => {
    const own = perFile[at]!.notices;
    const again = files.findIndex(({ name }) => name === file.name) === at;
    return limitNotices([
      ...own,
      ...(again ? twice.filter((notice) => notice.file === file.name) : []),
    ]);
  });
  const readings = hasErrors(notices) ? [] : perFile.flatMap((each) => each.readings);
  return { readings, notices };
}
