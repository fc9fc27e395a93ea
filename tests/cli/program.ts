import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { onTestFinished, vi } from 'vitest';

/** Every run starts a process, on a machine that may be busy. */
vi.setConfig({ testTimeout: 120_000, hookTimeout: 120_000 });

export const root = fileURLToPath(new URL('../..', import.meta.url));
const program = join(root, 'dist/proofboard.js');

export const MACHINE = 'fixtures/demo/machine.toml';
export const BOARDS = 'fixtures/demo/boards.csv';
export const RERUN = 'fixtures/demo/rerun.csv';
export const STRIPS = 'fixtures/demo/two-strips.csv';
export const GAUGE = 'fixtures/demo/gauge.csv';
export const CARRY = 'fixtures/demo/carry.csv';
export const MARKS = 'fixtures/demo/marks.csv';
export const RERUN_MARKS = 'fixtures/demo/rerun-marks.csv';

export interface Run {
  readonly code: number | null;
  readonly stdout: string;
  readonly stderr: string;
}

interface RunOptions {
  /** What stands on standard input. */
  readonly input?: string | Uint8Array;
  readonly env?: Readonly<Record<string, string>>;
  readonly cwd?: string;
}

/** Runs the built program from the project's root as a user would. */
export function proofboard(args: readonly string[], options: RunOptions = {}): Run {
  if (!existsSync(program)) throw new Error('dist/ is not there: npm run build');
  const { status, stdout, stderr } = spawnSync(process.execPath, [program, ...args], {
    cwd: options.cwd ?? root,
    encoding: 'utf8',
    input: options.input ?? '',
    env: { ...process.env, NO_COLOR: undefined, FORCE_COLOR: undefined, ...options.env },
    maxBuffer: 1 << 26,
  });
  return { code: status, stdout, stderr };
}

/** Runs a line of shell in which `proofboard` is the built program. */
export function shell(line: string, cwd = root, env: Readonly<Record<string, string>> = {}): Run {
  const script = `proofboard() { "${process.execPath}" "${program}" "$@"; }\n${line}`;
  const { status, stdout, stderr } = spawnSync('bash', ['-c', script], {
    cwd,
    encoding: 'utf8',
    env: { ...process.env, NO_COLOR: undefined, FORCE_COLOR: undefined, ...env },
    maxBuffer: 1 << 26,
  });
  return { code: status, stdout, stderr };
}

/** Cases with their command line as one text, for the titles of tests. */
export function spoken<Case extends { readonly line: readonly string[] }>(cases: readonly Case[]) {
  return cases.map((each) => ({ ...each, command: ['proofboard', ...each.line].join(' ') }));
}

/** What `--json` printed; fails where that is not one document and nothing else. */
// biome-ignore lint/suspicious/noExplicitAny: what stands in it is for the test to find out.
export function jsonOf({ stdout }: Run): any {
  return JSON.parse(stdout);
}

/** An empty folder that goes when the test ends. */
export function temporaryFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'proofboard-'));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}

/** Writes files by name into a folder, and gives their paths in the same order. */
export function written(
  folder: string,
  files: Readonly<Record<string, string | Uint8Array>>,
): string[] {
  return Object.entries(files).map(([name, content]) => {
    const path = join(folder, name);
    writeFileSync(path, content);
    return path;
  });
}
