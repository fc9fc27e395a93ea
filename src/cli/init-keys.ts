import { PassThrough } from 'node:stream';

const END_OF_INPUT = '\u0004';

/** What ends the answer to one prompt: Enter, Ctrl-C, Ctrl-D. */
const ENDS = ['\r', '\n', '\u0003', END_OF_INPUT];

/**
 * The keys of the terminal, handed on to one prompt at a time. A prompt that has its answer drops what
 * else was typed or pasted meanwhile; here that waits for the next prompt.
 */
export class Keys {
  /** What a prompt reads. */
  readonly input = new PassThrough();
  #waiting = '';
  #isAsked = false;

  constructor() {
    process.stdin.setEncoding('utf8').setRawMode(true);
    process.stdin.on('data', this.#take).on('end', this.#end).resume();
  }

  /** Lets the keys of one answer through. */
  ask(): void {
    this.#isAsked = true;
    this.#hand();
  }

  /** Gives the terminal back as it was. */
  close(): void {
    process.stdin.off('data', this.#take).off('end', this.#end).setRawMode(false).pause();
  }

  readonly #take = (typed: string) => {
    this.#waiting += typed;
    this.#hand();
  };

  readonly #end = () => this.#take(END_OF_INPUT);

  #hand(): void {
    if (!this.#isAsked || this.#waiting === '') return;
    const end = this.#waiting.split('').findIndex((key) => ENDS.includes(key));
    const upTo = end < 0 ? this.#waiting.length : end + 1;
    // Pasted lines may end as files' lines do; a prompt knows the Enter key alone.
    this.input.write(this.#waiting.slice(0, upTo).replace('\n', '\r'));
    this.#waiting = this.#waiting.slice(upTo);
    this.#isAsked = end < 0;
  }
}
