import { resolve } from 'node:path';
import type { Notice } from '../notices/notice.js';
import type { ReadingPlace } from '../pipeline/insistence.js';
import type { SourceFile } from '../pipeline/source.js';
import { isSource, readSource } from './files.js';

/** A machine file and files of readings, or the notices of all that cannot be read. */
export interface Gathered {
  readonly machine: SourceFile | null;
  readonly readings: readonly SourceFile[];
  readonly notices: readonly Notice[];
  /** Places of readings, their files named as they are above. */
  readonly exclude: readonly ReadingPlace[];
  readonly use: readonly ReadingPlace[];
}

interface Places {
  readonly exclude?: readonly ReadingPlace[];
  readonly use?: readonly ReadingPlace[];
}

/** Reads everything a command names; each file once, however its name is written. */
export async function gather(
  machine: string,
  readings: readonly string[],
  { exclude = [], use = [] }: Places = {},
): Promise<Gathered> {
  const names = [machine, ...readings];
  const paths = names.map(pathOf);
  const twice = names.find((_, index) => paths.indexOf(paths[index]!) !== index);
  if (twice !== undefined) {
    const notice: Notice = {
      code: 'given-twice',
      severity: 'error',
      message: 'this file is given twice',
      file: twice,
      hint: 'name each file once: its readings would count double',
    };
    return { machine: null, readings: [], notices: [notice], exclude, use };
  }
  const asNamed = (places: readonly ReadingPlace[]) =>
    places.map(({ file, line }) => ({ file: names[paths.indexOf(pathOf(file))] ?? file, line }));
  const read: (SourceFile | Notice)[] = [];
  for (const name of names) read.push(await readSource(name));
  const notices = read.filter((each): each is Notice => !isSource(each));
  const [first, ...rest] = read;
  return {
    machine: first && isSource(first) ? first : null,
    readings: rest.filter(isSource),
    notices,
    exclude: asNamed(exclude),
    use: asNamed(use),
  };
}

function pathOf(name: string): string {
  return name === '-' ? name : resolve(name);
}
