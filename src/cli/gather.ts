import { resolve } from 'node:path';
import type { Notice } from '../notices/notice.js';
import type { ReadingPlace } from '../pipeline/insistence.js';
import type { SourceFile } from '../pipeline/source.js';
import { isSource, readSource } from './files.js';

/** A machine file and files of readings, or the notices of all that cannot be read. */
export interface Gathered {
  readonly machine: SourceFile | null;
  readonly readings: readonly SourceFile[];
  readonly gauge: readonly SourceFile[];
  readonly carry: readonly SourceFile[];
  readonly marks: readonly SourceFile[];
  readonly notices: readonly Notice[];
  /** Places of readings, their files named as they are above. */
  readonly exclude: readonly ReadingPlace[];
  readonly use: readonly ReadingPlace[];
}

interface Further {
  readonly gauge?: readonly string[];
  readonly carry?: readonly string[];
  readonly marks?: readonly string[];
  readonly exclude?: readonly ReadingPlace[];
  readonly use?: readonly ReadingPlace[];
}

/** Reads everything a command names; each file once, however its name is written. */
export async function gather(
  machine: string,
  readings: readonly string[],
  { gauge = [], carry = [], marks = [], exclude = [], use = [] }: Further = {},
): Promise<Gathered> {
  const names = [machine, ...readings, ...gauge, ...carry, ...marks];
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
    const none = { readings: [], gauge: [], carry: [], marks: [] };
    return { machine: null, ...none, notices: [notice], exclude, use };
  }
  const asNamed = (places: readonly ReadingPlace[]) =>
    places.map(({ file, line }) => ({ file: names[paths.indexOf(pathOf(file))] ?? file, line }));
  const read = new Map<string, SourceFile | Notice>();
  for (const name of names) read.set(name, await readSource(name));
  const sources = (group: readonly string[]) =>
    group.map((name) => read.get(name)!).filter(isSource);
  return {
    machine: sources([machine])[0] ?? null,
    readings: sources(readings),
    gauge: sources(gauge),
    carry: sources(carry),
    marks: sources(marks),
    notices: [...read.values()].filter((each): each is Notice => !isSource(each)),
    exclude: asNamed(exclude),
    use: asNamed(use),
  };
}

function pathOf(name: string): string {
  return name === '-' ? name : resolve(name);
}
