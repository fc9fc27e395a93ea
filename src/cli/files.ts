import { link, open, readFile, rename, rm, stat } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import type { Notice } from '../notices/notice.js';
import type { SourceFile } from '../pipeline/source.js';
import { EXIT, Stop } from './exit-codes.js';

/** Reads a file, or standard input for `-`; a notice where that cannot be done. */
export async function readSource(name: string): Promise<SourceFile | Notice> {
  try {
    return { name, content: name === '-' ? await standardInput() : await readFile(name) };
  } catch (error) {
    return {
      code: 'cannot-read',
      severity: 'error',
      message: `cannot read ${name}: ${reasonOf(error)}`,
      file: name,
      hint: 'check the name and the folder that the command runs in',
    };
  }
}

/** Whether a name was read, or a notice stands in its place. */
export function isSource(read: SourceFile | Notice): read is SourceFile {
  return 'content' in read;
}

async function standardInput(): Promise<Uint8Array> {
  const chunks: Uint8Array[] = [];
  for await (const chunk of process.stdin) chunks.push(chunk as Uint8Array);
  return Buffer.concat(chunks);
}

/** Refuses to go on where a file stands already and may not be overwritten. */
export async function refuseOverwrite(path: string, force: boolean): Promise<void> {
  if (force) return;
  const exists = await stat(path).then(
    () => true,
    () => false,
  );
  if (exists) throw overwriteRefused(path);
}

function overwriteRefused(path: string): Stop {
  return new Stop(
    EXIT.badInput,
    `${path}: exists already; give another name, or --force to overwrite it`,
  );
}

/** Writes a file whole or not at all: beside its place first, then moved there in one step. */
export async function writeWhole(path: string, text: string, force: boolean): Promise<void> {
  const beside = join(dirname(path), `.${basename(path)}.${process.pid}.part`);
  try {
    const handle = await open(beside, 'wx');
    try {
      await handle.writeFile(text);
      await handle.sync();
    } finally {
      await handle.close();
    }
    if (force) await rename(beside, path);
    else await link(beside, path);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'EEXIST') throw overwriteRefused(path);
    throw new Stop(EXIT.badInput, `${path}: cannot be written: ${reasonOf(error)}`);
  } finally {
    await rm(beside, { force: true });
  }
}

function reasonOf(error: unknown): string {
  const { code, message } = error as NodeJS.ErrnoException;
  const known: Record<string, string> = {
    ENOENT: 'no such file or folder',
    EISDIR: 'it is a folder',
    EACCES: 'not allowed',
    EROFS: 'the disk cannot be written to',
    ENOSPC: 'no space left on the disk',
    ENOTDIR: 'part of the path is not a folder',
  };
  return known[code ?? ''] ?? message;
}
