import { readdir, rm, writeFile } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import type { Notice } from '../notices/notice.js';

/** A file held for one session; or why not: another session has it, or nothing can be put beside it. */
export type Claim =
  | { readonly isHeld: true; readonly release: () => Promise<void> }
  | { readonly isHeld: false; readonly inUse: Notice | null };

/**
 * Holds a file for this process alone, so that no two sessions write over each other. Each puts a
 * marker with its process number beside the file and only then looks for others': of two that start
 * at once at least one sees the other. What a killed session left behind is cleared away.
 */
export async function claim(path: string): Promise<Claim> {
  const folder = dirname(path);
  const own = join(folder, markerOf(path, process.pid));
  const release = () => rm(own, { force: true });
  try {
    await writeFile(own, '');
    const others = await othersIn(folder, path);
    const living = others.find(({ pid, isMarker }) => isMarker && isAlive(pid));
    if (living) {
      await release();
      return { isHeld: false, inUse: inUse(path, join(folder, living.name)) };
    }
    const left = others.filter(({ pid }) => !isAlive(pid));
    for (const { name } of left) await rm(join(folder, name), { force: true });
    return { isHeld: true, release };
  } catch {
    return { isHeld: false, inUse: null };
  }
}

function markerOf(path: string, pid: number): string {
  return `.${basename(path)}.${pid}.entering`;
}

interface Leftover {
  readonly name: string;
  readonly pid: number;
  readonly isMarker: boolean;
}

/** Markers and half-written files of other processes that entered into the same file. */
async function othersIn(folder: string, path: string): Promise<Leftover[]> {
  const start = `.${basename(path)}.`;
  const names = (await readdir(folder)).filter((name) => name.startsWith(start));
  return names.flatMap((name) => {
    const [, pid, kind] = /^(\d+)\.(entering|part)$/.exec(name.slice(start.length)) ?? [];
    if (pid === undefined || Number(pid) === process.pid) return [];
    return [{ name, pid: Number(pid), isMarker: kind === 'entering' }];
  });
}

function isAlive(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    // A process of somebody else may not be asked, but is there.
    return (error as NodeJS.ErrnoException).code === 'EPERM';
  }
}

function inUse(path: string, marker: string): Notice {
  return {
    code: 'in-use',
    severity: 'error',
    message: 'another enter is at work on this file',
    file: path,
    hint: `end that one first; if there is none, remove ${marker}`,
  };
}
