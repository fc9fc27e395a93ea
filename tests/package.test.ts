import { execFileSync, spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, expect, test } from 'vitest';

const root = fileURLToPath(new URL('..', import.meta.url));
const folder = mkdtempSync(join(tmpdir(), 'proofboard-package-'));
const project = join(folder, 'project');
const compiler = join(root, 'node_modules/typescript/bin/tsc');

/** What a program of somebody else's does with the library; compiled strictly. */
const CONSUMER = `
import { analyse, answersEverything, type KnifeEnd, type Notice, type Result, toJson } from 'proofboard';
import { boards, machine } from './texts.js';

declare class TextEncoder { encode(text: string): Uint8Array }
declare const console: { log(text: string): void };

const content = (text: string) => new TextEncoder().encode(text);
const { result, notices } = await analyse(
  { name: 'machine.toml', content: content(machine) },
  [{ name: 'boards.csv', content: content(boards) }],
  { target: 'mean', date: new Date(0) },
);
if (result === null) throw new Error(notices.map(({ message }) => message).join());
const warnings: readonly Notice[] = notices.filter(({ severity }) => severity === 'warning');
const ends = (found: Result): readonly KnifeEnd[] => found.knives.flatMap((knife) => knife.ends);
const worst: number = Math.max(...ends(result).map(({ offset }) => Math.abs(offset ?? 0)));
// @ts-expect-error: what is not known is null, and has to be looked at.
const tilt: number = result.bed.tilt;
// @ts-expect-error: a result is not to be changed.
result.bed.tilt = tilt;
const all = answersEverything(result);
console.log(toJson({ date: result.date, worst, tilt, all, warnings: warnings.length }));
`;

function npm(args: readonly string[], cwd: string): string {
  return execFileSync('npm', args, { cwd, encoding: 'utf8', stdio: ['ignore', 'pipe', 'pipe'] });
}

/** The demonstration's machine and boards as a module, so that the consumer needs no file system. */
function texts(): string {
  const read = (name: string) => readFileSync(join(root, 'fixtures/demo', name), 'utf8');
  const constant = (name: string, text: string) =>
    `export const ${name}: string = ${JSON.stringify(text)};\n`;
  return constant('machine', read('machine.toml')) + constant('boards', read('boards.csv'));
}

let files: readonly string[] = [];

beforeAll(() => {
  // dist/ was built before the tests; other tests are using it, so it is not built anew.
  const packed = JSON.parse(
    npm(['pack', '--json', '--ignore-scripts', '--pack-destination', folder], root),
  );
  files = packed[0].files.map(({ path }: { path: string }) => path);
  mkdirSync(project);
  writeFileSync(
    join(project, 'package.json'),
    '{ "name": "elsewhere", "private": true, "type": "module" }\n',
  );
  npm(
    ['install', '--prefer-offline', '--no-audit', '--no-fund', join(folder, packed[0].filename)],
    project,
  );
}, 600_000);

afterAll(() => rmSync(folder, { recursive: true, force: true }));

test('holds the program, the typed library and the demonstration, and nothing of the making', () => {
  for (const name of [
    'README.md',
    'LICENSE',
    'package.json',
    'dist/proofboard.js',
    'dist/index.js',
    'dist/types/index.d.ts',
    'fixtures/demo/boards.csv',
  ]) {
    expect(files).toContain(name);
  }
  expect(
    files.filter((name) => /^(src|tests|notebooks|\.)|\.test\.|node_modules/.test(name)),
  ).toEqual([]);
});

test('its program runs where it is installed', () => {
  const program = join(project, 'node_modules/.bin/proofboard');
  const run = (...args: string[]) => spawnSync(program, args, { cwd: project, encoding: 'utf8' });
  const { version } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8'));
  expect(run('--version')).toMatchObject({ status: 0, stdout: `${version}\n`, stderr: '' });
  const demo = 'node_modules/proofboard/fixtures/demo';
  const analysed = run('analyse', `${demo}/machine.toml`, `${demo}/boards.csv`);
  expect(analysed.status).toBe(0);
  expect(analysed.stdout).toContain('What to turn');
  expect(run('confirm', `${demo}/machine.toml`, `${demo}/rerun.csv`).status).toBe(0);
}, 120_000);

test('its library compiles strictly without any other types, and runs', () => {
  writeFileSync(join(project, 'consumer.ts'), CONSUMER);
  writeFileSync(join(project, 'texts.ts'), texts());
  const options = {
    strict: true,
    module: 'NodeNext',
    target: 'ES2022',
    lib: ['ES2023'],
    types: [],
    skipLibCheck: false,
  };
  writeFileSync(
    join(project, 'tsconfig.json'),
    JSON.stringify({ compilerOptions: options, files: ['consumer.ts'] }),
  );
  const compiled = spawnSync(process.execPath, [compiler], { cwd: project, encoding: 'utf8' });
  expect(compiled.stdout + compiled.stderr).toBe('');
  const ran = spawnSync(process.execPath, ['consumer.js'], { cwd: project, encoding: 'utf8' });
  expect(ran.stderr).toBe('');
  expect(JSON.parse(ran.stdout)).toEqual({
    date: '1970-01-01T00:00:00.000Z',
    worst: expect.closeTo(0.08, 1),
    tilt: expect.closeTo(0.08, 1),
    all: true,
    warnings: 2,
  });
}, 120_000);
