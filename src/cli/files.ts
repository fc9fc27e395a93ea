import type { Stats } from 'node:fs';
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
  if (path === undefined) return [];
  const existing = await stat(path).catch(() => null);
  if (existing === null) return [];
  if (!existing.isFile()) return [notAFile(path, existing)];
  return force ? [] : [overwriteRefused(path)];
}

/** An error for a folder, a device or a pipe: what is written there could not be moved into its place. */
export function notAFile(path: string, found: Stats): Notice {
  const what = found.isDirectory() ? 'it is a folder' : 'this is no ordinary file';
  return {
    code: 'not-a-file',
    severity: 'error',
    message: `${what}, and nothing is written to it`,
    file: path,
    expected: 'the name of a file, new or old',
    hint: 'give another name after --out',
  };
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
    const existing = await stat(path).catch(() => null);
    if (existing && !existing.isFile()) return [notAFile(path, existing)];
    const handle = await open(beside, 'wx');
    try {
      // Who may read and write an old file is for its owner to say.
      if (existing) await handle.chmod(existing.mode & 0o777);
      await handle.writeFile(text);
      await handle.sync();
    } finally {
      await handle.close();
    }
    if (!force) await takeName(beside, path);
    await rename(beside, path);
    await syncFolder(dirname(path));
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

/** Takes a file's name where it is free, in one step; on disks without links by an empty file. */
async function takeName(beside: string, path: string): Promise<void> {
  try {
    await link(beside, path);
  } catch (error) {
    if (!NO_LINKS.includes((error as NodeJS.ErrnoException).code ?? '')) throw error;
    await (await open(path, 'wx')).close();
  }
}

/** What disks say that know no links, such as the memory sticks that sheets are carried on. */
const NO_LINKS = ['EPERM', 'ENOTSUP', 'EOPNOTSUPP', 'ENOSYS'];

/** A new name lasts through a power cut once its folder is on disk; not everywhere can that be asked. */
async function syncFolder(path: string): Promise<void> {
  const folder = await open(path, 'r').catch(() => null);
  await folder?.sync().catch(() => undefined);
  await folder?.close();
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
