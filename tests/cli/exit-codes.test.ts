import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import {
  BOARDS,
  MACHINE,
  proofboard,
  RERUN,
  root,
  STRIPS,
  spoken,
  temporaryFolder,
  written,
} from './program.js';

const BROKEN = 'fixtures/broken/dates.csv';

test.each(
  spoken([
    { line: ['--version'], code: 0 },
    { line: ['--help'], code: 0 },
    { line: ['help', 'confirm'], code: 0 },
    { line: ['read', MACHINE], code: 0 },
    { line: ['read', MACHINE, BOARDS], code: 0 },
    { line: ['analyse', MACHINE, BOARDS], code: 0 },
    { line: ['analyze', MACHINE, RERUN], code: 0 },
    { line: ['confirm', MACHINE, RERUN], code: 0 },
    { line: ['confirm', MACHINE, BOARDS], code: 1 },
    { line: ['read', MACHINE, BROKEN], code: 2 },
    { line: ['analyse', MACHINE, BROKEN], code: 2 },
    { line: ['confirm', MACHINE, BROKEN], code: 2 },
    { line: ['analyse', MACHINE, STRIPS], code: 3 },
    { line: ['confirm', MACHINE, STRIPS], code: 3 },
  ]),
)('$command ends with $code', ({ line, code }) => {
  expect(proofboard(line).code).toBe(code);
});

test('knives inside on a bed of which the readings do not decide: analyse 0, confirm 3', () => {
  const machine = readFileSync(join(root, MACHINE), 'utf8').replace('bed = 0.1', 'bed = 0.028');
  const [narrow] = written(temporaryFolder(), { 'machine.toml': machine });
  expect(proofboard(['confirm', narrow!, RERUN]).code).toBe(3);
  expect(proofboard(['analyse', narrow!, RERUN]).code).toBe(0);
});

describe('bad usage ends with 2, says what is wrong, and prints nothing on standard output', () => {
  test.each(
    spoken([
      { line: [], says: 'Usage: proofboard' },
      { line: ['frobnicate'], says: "unknown command 'frobnicate'" },
      { line: ['help', 'frobnicate'], says: 'Usage: proofboard' },
      { line: ['read'], says: "missing required argument 'machine'" },
      { line: ['analyse', MACHINE], says: "missing required argument 'readings'" },
      { line: ['confirm', MACHINE], says: "missing required argument 'readings'" },
      { line: ['analyse', MACHINE, BOARDS, '--jason'], says: "unknown option '--jason'" },
      { line: ['read', MACHINE, '--target', 'bed'], says: "unknown option '--target'" },
      {
        line: ['analyse', MACHINE, BOARDS, '--against', 'x.json'],
        says: "unknown option '--against'",
      },
      { line: ['analyse', MACHINE, BOARDS, '--unit', 'cm'], says: 'Allowed choices are mm, in' },
      { line: ['analyse', MACHINE, BOARDS, '--unit'], says: 'argument missing' },
      { line: ['analyse', MACHINE, BOARDS, '--exclude', BOARDS], says: 'Expected FILE:LINE' },
      { line: ['analyse', MACHINE, BOARDS, '--use', `${BOARDS}:0`], says: 'Expected FILE:LINE' },
    ]),
  )('$command', ({ line, says }) => {
    const run = proofboard(line);
    expect(run).toMatchObject({ code: 2, stdout: '' });
    expect(run.stderr).toContain(says);
  });
});

test('interrupted while it waits for standard input, it ends with 130', async () => {
  const child = spawn(process.execPath, ['dist/proofboard.js', 'analyse', MACHINE, '-'], {
    cwd: root,
    stdio: ['pipe', 'pipe', 'pipe'],
  });
  const ended = once(child, 'exit');
  // A signal before the program has begun would end it as the system does.
  await new Promise((resolve) => setTimeout(resolve, 3000));
  child.kill('SIGINT');
  expect(await ended).toEqual([130, null]);
});
