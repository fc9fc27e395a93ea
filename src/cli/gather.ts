import type { Notice } from '../notices/notice.js';
import type { SourceFile } from '../pipeline/source.js';
import { isSource, readSource } from './files.js';

/** A machine file and files of readings, or the notices of all that cannot be read. */
export interface Gathered {
  readonly machine: SourceFile | null;
  readonly readings: readonly SourceFile[];
  readonly notices: readonly Notice[];
}

/** Reads everything a command names; each name once, standard input once. */
export async function gather(machine: string, readings: readonly string[]): Promise<Gathered> {
  const names = [machine, ...readings];
  const twice = names.find((name, index) => names.indexOf(name) !== index);
  if (twice !== undefined) {
    const notice: Notice = {
      code: 'given-twice',
      severity: 'error',
      message: `${twice} is given twice`,
      file: twice,
      hint: 'name each file once: its readings would count double',
    };
    return { machine: null, readings: [], notices: [notice] };
  }
  const read: (SourceFile | Notice)[] = [];
  for (const name of names) read.push(await readSource(name));
  const notices = read.filter((each): each is Notice => !isSource(each));
  const [first, ...rest] = read;
  return {
    machine: first && isSource(first) ? first : null,
    readings: rest.filter(isSource),
    notices,
  };
}
