import { join } from 'node:path';
import { spawn } from '@lydell/node-pty';
import { onTestFinished } from 'vitest';
import { root } from './program.js';

const program = join(root, 'dist/proofboard.js');

/** How long a text may take to show, on a machine that may be busy. */
const PATIENCE = 60_000;

interface TerminalOptions {
  readonly cwd?: string;
  readonly columns?: number;
  readonly env?: Readonly<Record<string, string>>;
}

/** The built program in a pseudo-terminal, as somebody sits before it. */
export interface Terminal {
  readonly pid: number;
  /** All that was shown so far, escape sequences taken out. */
  shown(): string;
  /** Waits until a text shows behind what was waited for before; fails when it never does. */
  waitFor(text: string | RegExp): Promise<string>;
  /** Types, to the letter. */
  type(text: string): void;
  /** Types a line and Enter. */
  enter(line: string): void;
  resize(columns: number): void;
  kill(signal: string): void;
  /** Waits until the program has ended. */
  ended(): Promise<{ readonly code: number; readonly signal: number }>;
}

/** Starts the built program in a pseudo-terminal; it is killed when the test ends. */
export function terminal(args: readonly string[], options: TerminalOptions = {}): Terminal {
  const { cwd = root, columns = 80, env = {} } = options;
  const pty = spawn(process.execPath, [program, ...args], {
    name: 'xterm',
    cols: columns,
    rows: 24,
    cwd,
    env: { ...process.env, NO_COLOR: '1', FORCE_COLOR: undefined, ...env },
  });
  let raw = '';
  let seen = 0;
  let wake: () => void = () => {};
  let exit: { code: number; signal: number } | null = null;
  pty.onData((data) => {
    raw += data;
    wake();
  });
  pty.onExit(({ exitCode, signal }) => {
    exit = { code: exitCode, signal: signal ?? 0 };
    wake();
  });
  onTestFinished(() => {
    if (!exit) pty.kill('SIGKILL');
  });
  const until = async <T>(look: () => T | null, what: string): Promise<T> => {
    const deadline = Date.now() + PATIENCE;
    for (;;) {
      const found = look();
      if (found !== null) return found;
      if (Date.now() > deadline) throw new Error(`${what}; shown: ${withoutEscapes(raw)}`);
      await new Promise<void>((resolve) => {
        const timer = setTimeout(resolve, 1000);
        wake = () => {
          clearTimeout(timer);
          resolve();
        };
      });
    }
  };
  return {
    pid: pty.pid,
    shown: () => withoutEscapes(raw),
    waitFor: (text) =>
      until(() => {
        const shown = withoutEscapes(raw);
        const rest = shown.slice(seen);
        const at = typeof text === 'string' ? rest.indexOf(text) : rest.search(text);
        if (at < 0) {
          if (exit) throw new Error(`ended without showing ${text}: ${shown}`);
          return null;
        }
        const found = typeof text === 'string' ? text : text.exec(rest)![0];
        seen += at + found.length;
        return found;
      }, `never showed ${text}`),
    type: (text) => pty.write(text),
    enter: (line) => pty.write(`${line}\r`),
    resize: (width) => pty.resize(width, 24),
    kill: (signal) => {
      if (!exit) pty.kill(signal);
    },
    ended: () => until(() => exit, 'never ended'),
  };
}

// biome-ignore lint/suspicious/noControlCharactersInRegex: that is what escape sequences begin with.
const ESCAPES = /\u001b\[[0-9;?]*[A-Za-z]|\u0007/g;

function withoutEscapes(text: string): string {
  return text.replace(ESCAPES, '');
}
