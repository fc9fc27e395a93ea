import { existsSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { jsonOf, MACHINE, proofboard, temporaryFolder, written } from '../cli/program.js';

/** No plan takes longer to be refused, on a machine that is busy. */
const SECONDS = 20_000;

interface Board {
  board: string;
  cut: string;
  knives: string[];
  x: number[];
  y: number[];
  spacing: number | null;
}

interface Boards {
  /** The first strip cut by hand, and the one behind it. */
  readonly strip: Board;
  readonly next: Board;
  /** The first board cut under power. */
  readonly power: Board;
}

const PLAN = proofboard(['plan', MACHINE, '--json']);

/** A plan as `plan` writes it, with something changed by hand. */
function planWith(change: (boards: Boards) => void): string {
  const plan = jsonOf(PLAN);
  const boards: Board[] = plan.boards;
  const [strip, next] = boards.filter(({ cut }) => cut === 'hand') as [Board, Board];
  const power = boards.find(({ cut }) => cut === 'full')!;
  change({ strip, next, power });
  return JSON.stringify(plan);
}

/** Runs `sheet --plan` for such a plan, and makes sure that nothing goes wrong in going wrong. */
function sheetOf(change: (boards: Boards) => void) {
  const folder = temporaryFolder();
  const [plan] = written(folder, { 'plan.json': planWith(change) }) as [string];
  const out = join(folder, 'sheet.csv');
  const began = performance.now();
  const run = proofboard(['sheet', MACHINE, '--plan', plan, '--out', out]);
  return { run, plan, folder, out, took: performance.now() - began };
}

const WRONG: readonly {
  readonly what: string;
  readonly change: (boards: Boards) => void;
  readonly words: RegExp;
}[] = [
  {
    what: 'places along a board that go back',
    change: ({ strip }) => strip.y.reverse(),
    words: /places that do not follow each other/,
  },
  {
    what: 'a place along a board twice',
    change: ({ power }) => power.y.push(power.y.at(-1)!),
    words: /places that do not follow each other/,
  },
  {
    what: 'no spacing between the scoops of several knives',
    change: ({ strip }) => {
      strip.spacing = 0;
    },
    words: /several knives and no spacing/,
  },
  {
    what: 'a spacing that goes back',
    change: ({ strip }) => {
      strip.spacing = -30;
    },
    words: /several knives and no spacing/,
  },
  {
    what: 'a knife twice',
    change: ({ strip }) => {
      strip.knives = ['1', '2', '1'];
    },
    words: /names a knife more than once/,
  },
  {
    what: 'a board twice',
    change: ({ strip, next }) => {
      next.board = strip.board;
    },
    words: /name a board more than once/,
  },
  {
    what: 'a full board cut by one knife',
    change: ({ power }) => {
      power.knives = ['1'];
    },
    words: /all knives cut a full board/,
  },
  {
    what: 'a strip cut by hand with all knives',
    change: ({ strip }) => {
      strip.knives = ['all'];
    },
    words: /all knives cut a full board/,
  },
  {
    what: '200000 places along a board',
    change: ({ power }) => {
      power.y = Array.from({ length: 200_000 }, (_, i) => i);
    },
    words: /boards\.\d+\.y/,
  },
  {
    what: 'a board called all',
    change: ({ strip }) => {
      strip.board = 'all';
    },
    words: /no board may be called "all"/,
  },
  {
    what: 'a board without a name',
    change: ({ strip }) => {
      strip.board = '  ';
    },
    words: /no board is named/,
  },
  {
    what: 'a place before the leading end',
    change: ({ strip }) => {
      strip.y = [-40, 80];
    },
    words: /boards\.\d+\.y\.0 is -40/,
  },
  {
    what: 'a place off the block',
    change: ({ strip }) => {
      strip.x = [5200];
    },
    words: /x 5200 mm, and the block is 520 mm long/,
  },
  {
    what: 'a knife that the machine does not have',
    change: ({ strip }) => {
      strip.knives = ['1', '9'];
    },
    words: /has a knife 9/,
  },
];

describe('a plan changed by hand is refused where no boards can be cut by it', () => {
  test.each(WRONG)('$what', ({ change, words }) => {
    const { run, plan, folder, took } = sheetOf(change);
    expect(run).toMatchObject({ code: 2, stdout: '' });
    expect(run.stderr).toContain(`${plan}: error: `);
    expect(run.stderr).toMatch(words);
    expect(run.stderr).not.toMatch(/fault of the program|at .*\.js|Error:/);
    // Of all that is wrong with so long a plan, little has to be read.
    expect(run.stderr.length).toBeLessThan(1000);
    expect(readdirSync(folder)).toEqual(['plan.json']);
    expect(took).toBeLessThan(SECONDS);
  });
});

const RIGHT: readonly { readonly what: string; readonly change: (boards: Boards) => void }[] = [
  { what: 'nothing', change: () => {} },
  {
    what: 'the name of a board',
    change: ({ strip }) => {
      strip.board = 'oak, 2nd "good" one';
    },
  },
  {
    what: 'one round less',
    change: ({ strip }) => {
      strip.y.pop();
    },
  },
  {
    what: 'one knife alone, which needs no spacing',
    change: ({ strip }) => {
      strip.knives = ['2'];
      strip.spacing = null;
    },
  },
];

test.each(RIGHT)('a plan is still one with $what changed by hand', ({ change }) => {
  const { run, out } = sheetOf(change);
  expect(run.code).toBe(0);
  expect(existsSync(out)).toBe(true);
});
