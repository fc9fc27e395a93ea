import { link, open, readFile, rename, rm, stat } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { basename, dirname, join } from 'node:path';
import type { Notice } from '../notices/notice.js';
import type { SourceFile } from '../pipeline/source.js';

// Importing this module would load all of its parts at every start, not only the hashes.
const { createHash } = createRequire(import.meta.url)(
  'node:crypto',
) as typeof import('node:crypto');

/** Reads a file, or standard input for `-`; a notice where that cannot be done. */
export async function readSource(name: string): Promise<SourceFile | Notice> {
  try {
    const content = name === '-' ? await standardInput() : await readFile(name);
    return { name, content, sha256: createHash('sha256').update(content).digest('hex') };
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

/** A notice where a file stands already and may not be overwritten. */
export async function overwriteNotices(
  path: string | undefined,
  force: boolean,
): Promise<readonly Notice[]> {
  if (path === undefined || force) return [];
  const exists = await stat(path).then(
    () => true,
    () => false,
  );
  return exists ? [overwriteRefused(path)] : [];
}

function overwriteRefused(path: string): Notice {
  return {
    code: 'file-exists',
    severity: 'error',
    message: 'this file exists already',
    file: path,
    hint: 'give another name, or --force to overwrite it',
  };
}

/**
 * Writes a file whole or not at all: beside its place first, then moved there in one step.
 *
 * @returns a notice where it could not be written
 */
export async function writeWhole(
  path: string,
  text: string,
  force: boolean,
): Promise<readonly Notice[]> {
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
    return [];
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'EEXIST') return [overwriteRefused(path)];
    const message = `cannot be written: ${reasonOf(error)}`;
    const hint = 'name a file in a folder that exists and may be written to';
    return [{ code: 'cannot-write', severity: 'error', message, file: path, hint }];
  } finally {
    await rm(beside, { force: true });
  }
}

/** Why a file could not be read or written, in words. */
export function reasonOf(error: unknown): string {
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
