import { existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import {
  BOARDS,
  jsonOf,
  MACHINE,
  proofboard,
  RERUN,
  STRIPS,
  spoken,
  temporaryFolder,
} from './program.js';

const KEPT = 'a result of somebody else\n';

/** A result but for its date. */
function undated(json: string): unknown {
  return { ...JSON.parse(json), date: null };
}

test.each(
  spoken([
    { line: ['analyse', MACHINE, BOARDS], code: 0 },
    { line: ['analyse', MACHINE, STRIPS], code: 3 },
    { line: ['confirm', MACHINE, RERUN], code: 0 },
    { line: ['confirm', MACHINE, BOARDS], code: 1 },
    { line: ['confirm', MACHINE, STRIPS], code: 3 },
  ]),
)('$command --out writes what --json prints, at exit code $code', ({ line, code }) => {
  const folder = temporaryFolder();
  const out = join(folder, 'result.json');
  const run = proofboard([...line, '--out', out]);
  expect(run.code).toBe(code);
  expect(run.stdout).toContain('Cautions');
  expect(undated(readFileSync(out, 'utf8'))).toEqual(
    undated(proofboard([...line, '--json']).stdout),
  );
  expect(readdirSync(folder)).toEqual(['result.json']);
});

test('--json --out does both, and both are the same', () => {
  const out = join(temporaryFolder(), 'result.json');
  const run = proofboard(['analyse', MACHINE, BOARDS, '--json', '--out', out]);
  expect(readFileSync(out, 'utf8')).toBe(run.stdout);
});

test('read --out writes what read prints', () => {
  const folder = temporaryFolder();
  const [csv, json] = [join(folder, 'long.csv'), join(folder, 'long.json')];
  expect(proofboard(['read', MACHINE, BOARDS, '--out', csv]).code).toBe(0);
  expect(readFileSync(csv, 'utf8')).toBe(proofboard(['read', MACHINE, BOARDS]).stdout);
  const run = proofboard(['read', MACHINE, BOARDS, '--json', '--out', json]);
  expect(readFileSync(json, 'utf8')).toBe(run.stdout);
});

test.each([
  ['read', MACHINE, BOARDS],
  ['analyse', MACHINE, BOARDS],
  ['confirm', MACHINE, RERUN],
])('%s refuses to overwrite a file without --force', (...line) => {
  const folder = temporaryFolder();
  const out = join(folder, 'result.json');
  writeFileSync(out, KEPT);
  const refused = proofboard([...line, '--out', out]);
  expect(refused).toMatchObject({ code: 2, stdout: '' });
  expect(refused.stderr).toContain(out);
  expect(refused.stderr).toContain('--force');
  expect(readFileSync(out, 'utf8')).toBe(KEPT);
  expect(proofboard([...line, '--out', out, '--force']).code).toBe(0);
  expect(readFileSync(out, 'utf8')).not.toContain(KEPT);
  expect(readdirSync(folder)).toEqual(['result.json']);
});

test.each(
  spoken([
    { line: ['read', MACHINE, 'fixtures/broken/dates.csv'] },
    { line: ['analyse', MACHINE, 'fixtures/broken/dates.csv'] },
    { line: ['analyse', MACHINE, 'nothing.csv'] },
    { line: ['analyse', MACHINE, BOARDS, '--target', '9'] },
    { line: ['confirm', MACHINE, RERUN, '--against', MACHINE] },
  ]),
)('$command writes nothing at exit code 2, even with --force', ({ line }) => {
  const folder = temporaryFolder();
  const [fresh, old] = [join(folder, 'fresh.json'), join(folder, 'old.json')];
  writeFileSync(old, KEPT);
  expect(proofboard([...line, '--out', fresh]).code).toBe(2);
  expect(proofboard([...line, '--out', old, '--force']).code).toBe(2);
  expect(existsSync(fresh)).toBe(false);
  expect(readFileSync(old, 'utf8')).toBe(KEPT);
  expect(readdirSync(folder)).toEqual(['old.json']);
});

test('a place that cannot be written to is told, with nothing left behind', () => {
  const folder = temporaryFolder();
  mkdirSync(join(folder, 'a folder'));
  const nowhere = proofboard(['analyse', MACHINE, BOARDS, '--out', join(folder, 'no/where.json')]);
  expect(nowhere.code).toBe(2);
  expect(nowhere.stderr).toContain('no such file or folder');
  const onFolder = proofboard([
    'analyse',
    MACHINE,
    BOARDS,
    '--out',
    join(folder, 'a folder'),
    '--force',
  ]);
  expect(onFolder.code).toBe(2);
  expect(onFolder.stderr).toContain('a folder');
  expect(readdirSync(folder)).toEqual(['a folder']);
});

test('with --json a refused --out is one document too', () => {
  const out = join(temporaryFolder(), 'result.json');
  writeFileSync(out, KEPT);
  const run = proofboard(['analyse', MACHINE, BOARDS, '--json', '--out', out]);
  expect(run.code).toBe(2);
  const { schema, notices, ...rest } = jsonOf(run);
  expect(schema).toBe('proofboard/result@1');
  expect(rest).toEqual({});
  expect(notices).toHaveLength(1);
  expect(notices[0]).toMatchObject({ severity: 'error', file: out });
});
