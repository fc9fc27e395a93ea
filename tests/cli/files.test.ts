import { execFileSync, spawnSync } from 'node:child_process';
import {
  chmodSync,
  lstatSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { link } from 'node:fs/promises';
import { join } from 'node:path';
import { describe, expect, test, vi } from 'vitest';
import { writeWhole } from '../../src/cli/files.js';
import { BOARDS, MACHINE, proofboard, root, temporaryFolder } from './program.js';

vi.mock('node:fs/promises', async (original) => {
  const real = await original<typeof import('node:fs/promises')>();
  return { ...real, link: vi.fn(real.link) };
});

/** Whoever opens a pipe that nobody reads waits for ever; the program has to be done long before. */
const AT_ONCE = 30_000;

const WRITERS = [
  { name: 'analyse', line: ['analyse', MACHINE, BOARDS], file: 'result.json' },
  { name: 'plan', line: ['plan', MACHINE], file: 'plan.json' },
  { name: 'sheet', line: ['sheet', MACHINE], file: 'sheet.csv' },
  { name: 'a page', line: ['sheet', MACHINE], file: 'sheet.html' },
  { name: 'enter', line: ['enter', MACHINE], file: 'readings.csv' },
];

const NOT_FILES = [
  { what: 'a pipe', make: (path: string) => void execFileSync('mkfifo', [path]) },
  { what: 'a folder', make: (path: string) => void mkdirSync(path) },
  {
    what: 'a link to a folder',
    make: (path: string) => {
      mkdirSync(`${path}.d`);
      symlinkSync(`${path}.d`, path);
    },
  },
  {
    what: 'a link to a pipe',
    make: (path: string) => {
      execFileSync('mkfifo', [`${path}.pipe`]);
      symlinkSync(`${path}.pipe`, path);
    },
  },
];

const ONTO = WRITERS.flatMap((writer) =>
  NOT_FILES.flatMap((target) =>
    [[], ['--force']].map((force) => ({ ...writer, ...target, force, how: force.join() })),
  ),
);

/** What stands in a folder: names, kinds and file numbers, so that nothing replaced goes unseen. */
function inventory(folder: string) {
  return readdirSync(folder).map((name) => {
    const { mode, ino } = lstatSync(join(folder, name));
    return { name, mode, ino };
  });
}

test.each(ONTO)('$name --out onto $what $how is refused at once', ({ line, file, make, force }) => {
  const folder = temporaryFolder();
  const out = join(folder, file);
  make(out);
  const before = inventory(folder);
  const program = join(root, 'dist/proofboard.js');
  const { status, stdout, stderr } = spawnSync(
    process.execPath,
    [program, ...line, '--out', out, ...force],
    { cwd: root, encoding: 'utf8', input: '', timeout: AT_ONCE },
  );
  expect({ status, stdout }).toEqual({ status: 2, stdout: '' });
  expect(stderr).toContain(`${out}: error: `);
  expect(stderr).toMatch(/folder|no ordinary file/);
  expect(stderr).toContain('give another name after --out');
  expect(inventory(folder)).toEqual(before);
  if (statSync(out).isDirectory()) expect(readdirSync(out)).toEqual([]);
});

describe('overwritten with --force, a file keeps who may read it', () => {
  // The last two let others write, which this process keeps new files from.
  const modes = ['600', '640', '644', '660', '666'];
  test.each(
    WRITERS.filter(({ name }) => name !== 'a page').flatMap((writer) =>
      (writer.name === 'plan' ? modes : ['600']).map((mode) => ({ ...writer, mode })),
    ),
  )('$name: $mode', ({ line, file, mode }) => {
    const out = join(temporaryFolder(), file);
    writeFileSync(out, 'old\n');
    chmodSync(out, Number.parseInt(mode, 8));
    const run = proofboard([...line, '--out', out, '--force']);
    expect(run.code).not.toBe(2);
    expect(readFileSync(out, 'utf8')).not.toContain('old');
    expect((statSync(out).mode & 0o777).toString(8)).toBe(mode);
  });

  test('and so does a sheet that is gone on with', () => {
    const out = join(temporaryFolder(), 'readings.csv');
    proofboard(['sheet', MACHINE, '--out', out]);
    chmodSync(out, 0o600);
    expect(proofboard(['enter', MACHINE, '--out', out], { input: '19.11\n' }).code).toBe(3);
    expect(readFileSync(out, 'utf8')).toContain(',19.11,');
    expect(statSync(out).mode & 0o777).toBe(0o600);
  });
});

describe('where a disk knows no links', () => {
  const refuse = (code: string) =>
    vi.mocked(link).mockRejectedValue(Object.assign(new Error('refused'), { code }));

  test.each(['EPERM', 'ENOTSUP', 'EOPNOTSUPP', 'ENOSYS'])(
    '(%s) a file is written',
    async (code) => {
      refuse(code);
      const folder = temporaryFolder();
      const out = join(folder, 'sheet.csv');
      expect(await writeWhole(out, 'first\n', false)).toEqual([]);
      expect(readFileSync(out, 'utf8')).toBe('first\n');
      // And no second one over it.
      expect(await writeWhole(out, 'second\n', false)).toMatchObject([
        { code: 'file-exists', severity: 'error', file: out },
      ]);
      expect(readFileSync(out, 'utf8')).toBe('first\n');
      expect(await writeWhole(out, 'third\n', true)).toEqual([]);
      expect(readFileSync(out, 'utf8')).toBe('third\n');
      expect(readdirSync(folder)).toEqual(['sheet.csv']);
    },
  );

  test.each(['EACCES', 'ENOSPC', 'EIO'])('(%s) is not taken for that', async (code) => {
    refuse(code);
    const folder = temporaryFolder();
    const out = join(folder, 'sheet.csv');
    expect(await writeWhole(out, 'first\n', false)).toMatchObject([
      { code: 'cannot-write', severity: 'error', file: out },
    ]);
    expect(readdirSync(folder)).toEqual([]);
  });
});
