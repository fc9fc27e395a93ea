import { mkdirSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { stripVTControlCharacters } from 'node:util';
import { spawn } from '@lydell/node-pty';
import { onTestFinished } from 'vitest';
import { proofboard, root, temporaryFolder } from '../cli/program.js';

/** The key that completes. */
export const TAB = '\t';

/** Files and folders of somebody who measures, some with names that shells want quoted. */
const FILES = [
  'machine.toml',
  'OLD.TOML',
  'boards.csv',
  'my boards.csv',
  "joiner's $1.csv",
  'a:b.csv',
  '[1] & (2).txt',
  'readings.tsv',
  'first.json',
  'notes.md',
  'csv',
  'old jobs/in side.csv',
  'old jobs/deep/machine.toml',
  'folder.csv/boards.csv',
];
const FOLDERS = ['folder.csv', 'old jobs'];
const READINGS = [
  "joiner's $1.csv",
  '[1] & (2).txt',
  'a:b.csv',
  'boards.csv',
  'my boards.csv',
  'readings.tsv',
];

/** What is to be offered of these where nothing is typed yet. */
export const OFFERED = {
  machines: [...FOLDERS, 'OLD.TOML', 'machine.toml'].sort(),
  readings: [...FOLDERS, ...READINGS].sort(),
  results: [...FOLDERS, 'first.json'].sort(),
  all: [...new Set(FILES.map((name) => name.split('/')[0]!))].sort(),
} as const;

/** Makes the folder in which those files are. */
export function workFolder(): string {
  const folder = temporaryFolder();
  for (const name of FILES) {
    mkdirSync(dirname(join(folder, name)), { recursive: true });
    writeFileSync(join(folder, name), '');
  }
  return folder;
}

/** The surroundings of a user with a home of their own, for whom `proofboard` is the built program. */
export function userIn(home: string): Readonly<Record<string, string>> {
  const bin = join(home, 'bin');
  const program = join(root, 'dist/proofboard.js');
  mkdirSync(bin);
  writeFileSync(
    join(bin, 'proofboard'),
    `#!/bin/sh\nexec "${process.execPath}" "${program}" "$@"\n`,
    { mode: 0o755 },
  );
  return { HOME: home, PATH: `${bin}:${process.env.PATH}`, LANG: 'C.UTF-8', TERM: 'xterm' };
}

/** What the help says is to be written or run to install completions, a text each, in its order. */
export function installing(shell: string): string[] {
  const { stdout } = proofboard(['completions', '--help']);
  const part = stdout.split('\n\n').find((each) => each.startsWith(`${shell}:`))!;
  return part
    .split(/^\S.*\n/m)
    .filter((lines) => lines !== '')
    .map((lines) => `${lines.replaceAll(/^ {2}/gm, '').trimEnd()}\n`);
}

/**
 * Starts a shell in a terminal. Its settings have to let it print `READY` once, and at the keys
 * control-X and s the line as it stands, between `<<` and `>>`, and empty it.
 *
 * @returns types keys into an empty line, and gives the line as it is then
 */
export async function shellLine(
  command: string,
  cwd: string,
  env: Readonly<Record<string, string>>,
): Promise<(keys: string) => Promise<string>> {
  const shell = spawn(command, ['-i'], { cwd, env, name: 'xterm', cols: 200, rows: 60 });
  onTestFinished(() => shell.kill('SIGKILL'));
  let printed = '';
  let look = () => {};
  shell.onData((text) => {
    printed += text;
    look();
  });
  const shown = (pattern: RegExp) =>
    new Promise<string>((resolve, reject) => {
      const told = () => new Error(`${pattern} is not in: ${JSON.stringify(printed)}`);
      const patience = setTimeout(() => reject(told()), 60_000);
      look = () => {
        const match = pattern.exec(stripVTControlCharacters(printed));
        if (!match) return;
        clearTimeout(patience);
        look = () => {};
        printed = '';
        resolve(match[1]!);
      };
      look();
    });
  await shown(/(READY)/);
  return (keys) => {
    shell.write(`${keys}\x18s`);
    return shown(/<<(.*)>>/);
  };
}
