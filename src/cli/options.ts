import { type Command, InvalidArgumentError, Option } from 'commander';
import type { ReadingPlace } from '../pipeline/insistence.js';

/** Options that several commands share, each described once. */
export interface OutputOptions {
  readonly json?: boolean;
  readonly out?: string;
  readonly force?: boolean;
  readonly unit?: 'mm' | 'in';
}

export interface FitOptions extends OutputOptions {
  readonly gauge?: readonly string[];
  readonly carry?: readonly string[];
  readonly marks?: readonly string[];
  readonly target?: string;
  readonly exclude?: readonly ReadingPlace[];
  readonly use?: readonly ReadingPlace[];
}

/** Adds `--json`, `--out`, `--force` and `--unit`. */
export function withOutput(command: Command, written: string): Command {
  return command
    .option('--json', 'print one JSON document on standard output and nothing else there')
    .option('--out <file>', `write ${written} to a file, whole or not at all`)
    .option('--force', 'let --out overwrite a file')
    .addOption(new Option('--unit <unit>', 'unit for people to read').choices(['mm', 'in']));
}

/** Adds `--gauge`, `--carry`, `--marks`, `--target`, `--exclude` and `--use`. */
export function withFit(command: Command): Command {
  return command
    .option('--gauge <file>', 'gauge readings (CSV) into the same fit; may be given again', addName)
    .option('--carry <file>', 'carries of a rule (CSV), likewise', addName)
    .option('--marks <file>', 'ridges between knife marks (CSV), likewise', addName)
    .option(
      '--target <line>',
      'line that the knives are brought to: mean, bed, highest, lowest or a knife id (default: mean)',
    )
    .option('--exclude <file:line>', 'leave a reading out; may be given again', addPlace)
    .option('--use <file:line>', 'keep a reading that would be set aside', addPlace);
}

function addName(name: string, before: readonly string[] = []): string[] {
  return [...before, name];
}

function addPlace(text: string, before: readonly ReadingPlace[] = []): ReadingPlace[] {
  const match = /^(.+):([1-9]\d*)$/.exec(text);
  if (!match) throw new InvalidArgumentError('Expected FILE:LINE, such as boards.csv:17.');
  return [...before, { file: match[1]!, line: Number(match[2]) }];
}
