import { clearLine, createInterface, cursorTo, type Interface } from 'node:readline';
import { EXIT } from './exit-codes.js';

/** A typed line, or what came instead of one. */
export type Typed =
  | { readonly kind: 'line'; readonly text: string }
  | { readonly kind: 'end-of-input' | 'interrupted' };

/**
 * The lines of a whole session, in their order: those typed faster than they are asked for wait their
 * turn, so a caliper or a pipe loses none.
 */
export class EnterLines {
  private readonly lines: Interface;
  private readonly waiting: Typed[] = [];
  private readonly others: NodeJS.SignalsListener[];
  private wake: () => void = () => {};
  private isEnded = false;
  private readonly isDrawn: boolean;

  constructor() {
    this.isDrawn = Boolean(process.stdin.isTTY && process.stdout.isTTY);
    this.lines = createInterface({
      input: process.stdin,
      output: process.stdout,
      terminal: this.isDrawn,
      historySize: 0,
      crlfDelay: Number.POSITIVE_INFINITY,
    });
    this.lines.on('line', (text) => this.put({ kind: 'line', text }));
    this.lines.on('close', () => {
      if (!this.isEnded) this.put({ kind: 'end-of-input' });
      this.isEnded = true;
    });
    // The program's own listener ends at once; here what is saved is told first.
    this.others = process.listeners('SIGINT') as NodeJS.SignalsListener[];
    process.removeAllListeners('SIGINT');
    process.on('SIGINT', this.interrupt);
    this.lines.on('SIGINT', this.interrupt);
  }

  /** Whether somebody sits before it who can answer a question. */
  get isWatched(): boolean {
    return Boolean(process.stdin.isTTY);
  }

  /** The next line, asked for where none waits. */
  async next(prompt: string): Promise<Typed> {
    await arrivals();
    const [ahead] = this.waiting;
    // What was typed ahead, or comes from a pipe, is shown where it is taken.
    if (ahead?.kind === 'line') this.show([prompt + ahead.text]);
    else this.draw(prompt);
    while (this.waiting.length === 0) {
      await new Promise<void>((resolve) => {
        this.wake = resolve;
      });
    }
    const typed = this.waiting.shift()!;
    const isHidden = !this.isWatched && typed !== ahead;
    if (typed.kind === 'line' && isHidden) process.stdout.write(`${typed.text}\n`);
    return typed;
  }

  /** Whether more was typed already than has been asked for. */
  async hasMore(): Promise<boolean> {
    await arrivals();
    return this.waiting.some(({ kind }) => kind === 'line');
  }

  /** Lines that nobody asked for any more, blank ones not counted. */
  async leftOver(): Promise<string[]> {
    await arrivals();
    return this.waiting.flatMap((typed) =>
      typed.kind === 'line' && typed.text.trim() !== '' ? [typed.text.trim()] : [],
    );
  }

  /** Shows lines in place of the prompt. */
  show(lines: readonly string[]): void {
    if (lines.length === 0) return;
    if (this.isDrawn) {
      cursorTo(process.stdout, 0);
      clearLine(process.stdout, 0);
    }
    process.stdout.write(lines.map((line) => `${line}\n`).join(''));
  }

  /** Calls whoever looks at the board and not at the screen. */
  ring(): void {
    if (this.isDrawn) process.stdout.write('\u0007');
  }

  close(): void {
    this.isEnded = true;
    this.lines.close();
    process.off('SIGINT', this.interrupt);
    for (const listener of this.others) process.on('SIGINT', listener);
  }

  private draw(prompt: string): void {
    if (!this.isDrawn) {
      process.stdout.write(prompt);
    } else if (!this.isEnded) {
      this.lines.setPrompt(prompt);
      // What is typed already stays behind the new prompt.
      this.lines.prompt(true);
    }
  }

  private put(typed: Typed): void {
    this.waiting.push(typed);
    this.wake();
  }

  private readonly interrupt = () => {
    // Once is a wish to stop, twice is an order.
    if (this.waiting.some(({ kind }) => kind === 'interrupted')) process.exit(EXIT.interrupted);
    this.put({ kind: 'interrupted' });
  };
}

/** Lets in what has been typed while the program was at work. */
function arrivals(): Promise<void> {
  return new Promise((resolve) => {
    setImmediate(() => setImmediate(resolve));
  });
}
