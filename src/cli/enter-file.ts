import { readFile, realpath, stat } from 'node:fs/promises';
import type { Notice } from '../notices/notice.js';
import type { SourceFile } from '../pipeline/source.js';
import { isSource, notAFile, readSource, writeWhole } from './files.js';

/** The file that is entered into: what stood in it last, so that a change by others is noticed. */
export class EnterFile {
  private constructor(
    /** As its user named it. */
    readonly name: string,
    /** Where it stands on the disk. */
    readonly path: string,
    private last: SourceFile | null,
  ) {}

  /** Finds a file, or the place for it; a link is followed, so that it stays one. */
  static async find(name: string): Promise<EnterFile | Notice> {
    const path = await realpath(name).catch(() => null);
    if (path === null) return new EnterFile(name, name, null);
    // A device or a pipe would be waited for, or written over.
    const found = await stat(path);
    if (!found.isFile()) return notAFile(name, found);
    const source = await readSource(path);
    return isSource(source)
      ? new EnterFile(name, path, { ...source, name })
      : { ...source, file: name };
  }

  /** What stands in it; null where there is nothing yet. */
  get content(): SourceFile | null {
    return this.last?.content.length ? this.last : null;
  }

  /**
   * Writes the file whole, unless something else wrote it since: then nothing of either is lost.
   * @returns a notice where it is not saved
   */
  async save(text: string): Promise<readonly Notice[]> {
    const now = await readFile(this.path).catch(() => null);
    if (now !== null && !(this.last && now.equals(this.last.content))) return [changed(this.name)];
    const failed = await writeWhole(this.path, text, now !== null);
    if (failed.length === 0) this.last = { name: this.name, content: Buffer.from(text) };
    return failed.map((notice) => ({ ...notice, file: this.name }));
  }
}

function changed(file: string): Notice {
  return {
    code: 'file-changed',
    severity: 'error',
    message: 'the file was changed by something else meanwhile',
    file,
    hint: 'it stays as it is now; close whatever else has it open and run the same command to go on',
  };
}
