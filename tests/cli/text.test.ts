import { describe, expect, test } from 'vitest';
import {
  BOARDS,
  MACHINE,
  proofboard,
  RERUN,
  STRIPS,
  shell,
  spoken,
  temporaryFolder,
} from './program.js';

const LINES = [
  { line: ['read', MACHINE] },
  { line: ['analyse', MACHINE, BOARDS] },
  { line: ['analyse', MACHINE, STRIPS] },
  { line: ['analyse', MACHINE, BOARDS, '--unit', 'in'] },
  { line: ['analyse', MACHINE, BOARDS, '--use', `${BOARDS}:53`] },
  { line: ['confirm', MACHINE, RERUN] },
  {
    line: ['analyse', 'fixtures/machines/inch-jointer.toml', 'fixtures/boards/inch-fractions.csv'],
  },
  { line: ['analyse', 'fixtures/machines/thicknesser.toml', 'fixtures/boards/everything.csv'] },
  { line: ['--help'] },
  { line: ['read', '--help'] },
  { line: ['analyse', '--help'] },
  { line: ['confirm', '--help'] },
];

const ESCAPE = String.fromCharCode(27);
/** What is to be copied as it stands: an example's mark, a path, a place in a file. */
const isUnbreakable = (word: string) => word === '$' || /^\S+\.csv:\d+:?$/.test(word);

describe.each(spoken(LINES))('$command', ({ line }) => {
  const { stdout } = proofboard(line);

  test('is no wider than 80 columns', () => {
    const wide = stdout
      .split('\n')
      .filter((text) => [...text].length > 80 && !text.split(' ').some(isUnbreakable));
    expect(wide).toEqual([]);
  });

  test('has no figure without a value: no −0.000, NaN, null, undefined or Infinity', () => {
    const bad = /[-−+]0(\.0+)?(?![\d.])|\b(NaN|null|undefined|Infinity)\b|\[object/g;
    expect(stdout.match(bad) ?? []).toEqual([]);
  });

  test('has neither colours nor blanks at the end of a line, nor two empty lines', () => {
    expect(stdout).not.toContain(ESCAPE);
    expect(stdout.match(/[^\n]*[ \t]\n/g) ?? []).toEqual([]);
    expect(stdout).not.toContain('\n\n\n');
  });
});

describe('colour', () => {
  const COMMAND = `analyse ${MACHINE} ${BOARDS}`;
  /** A terminal of our own, where there is a program that makes one. */
  const terminal = (env: Record<string, string>) =>
    shell(
      `script -qec '"${process.execPath}" dist/proofboard.js ${COMMAND}' /dev/null`,
      undefined,
      {
        TERM: 'xterm-256color',
        ...env,
      },
    );

  test.skipIf(shell('command -v script').code !== 0)(
    'comes on a terminal, and goes with NO_COLOR or a dumb one, and says nothing alone',
    () => {
      const coloured = terminal({}).stdout;
      const plain = terminal({ NO_COLOR: '1' }).stdout;
      expect(coloured).toContain(`${ESCAPE}[`);
      expect(plain).not.toContain(`${ESCAPE}[`);
      expect(terminal({ TERM: 'dumb' }).stdout).not.toContain(`${ESCAPE}[`);
      const bare = coloured.replaceAll(new RegExp(`${ESCAPE}\\[[0-9;]*m`, 'g'), '');
      expect(bare).toBe(plain);
    },
  );

  test('never goes into a file or a pipe', () => {
    const { stdout } = proofboard(['analyse', MACHINE, BOARDS], {
      env: { TERM: 'xterm-256color' },
    });
    expect(stdout).not.toContain(ESCAPE);
  });
});

describe('cautions stand wherever hands or power come in', () => {
  const WORDS = [
    /isolate/i,
    /lock it off/i,
    /gloves/i,
    /pulley or belt/i,
    /never by the block or a knife/i,
    /matched set/i,
    /worn/i,
    /full turn before power/i,
    /standing aside/i,
    /boards no shorter than the manual/i,
    /from the middle outwards/i,
    /recheck every screw/i,
    /second person/i,
    /competent person/i,
  ];

  test.each(
    spoken([
      { line: ['analyse', MACHINE, BOARDS] },
      { line: ['analyse', MACHINE, STRIPS] },
      { line: ['analyse', MACHINE, BOARDS, '--use', `${BOARDS}:53`] },
      { line: ['confirm', MACHINE, RERUN] },
      { line: ['confirm', MACHINE, BOARDS] },
    ]),
  )('$command', ({ line }) => {
    const text = proofboard(line).stdout.replaceAll(/\s+/g, ' ');
    expect(WORDS.filter((word) => !word.test(text))).toEqual([]);
  });
});

test('the first line says what is wrong, or that nothing is', () => {
  const first = (...line: string[]) => proofboard(line).stdout.split('\n')[0];
  expect(first('analyse', MACHINE, BOARDS)).toContain('Knife 3');
  expect(first('analyse', MACHINE, RERUN)).toContain('leave the block alone');
  expect(first('analyse', MACHINE, STRIPS)).toContain('tapered');
});

test('what to turn is told knife by knife, with screw, way, part of a turn and degrees', () => {
  const text = proofboard(['analyse', MACHINE, BOARDS]).stdout.replaceAll(/\s+/g, ' ');
  expect(text).toMatch(
    /Knife 2, front \(x 40 mm\): lower it by 1\/8 turn \(45°\) clockwise, seen looking at the screw's driven end/,
  );
  expect(text).toMatch(/Knife 3, back \(x 480 mm\): raise it by 1\/8 turn \(45°\) anticlockwise/);
  expect(text).toMatch(/wedge screws/);
  expect(text).toMatch(/last movement of every screw is anticlockwise/);
});

test('an outfeed table asks for its own check', () => {
  const folder = temporaryFolder();
  const { code, stdout } = shell(
    [
      `sed 's/^\\[bed\\]/[outfeed]\\npresent = true\\n\\n[bed]/' ${MACHINE} > ${folder}/machine.toml`,
      `proofboard analyse ${folder}/machine.toml ${BOARDS} 2>/dev/null`,
    ].join('\n'),
  );
  const text = stdout.replaceAll(/\s+/g, ' ');
  expect(code).toBe(0);
  expect(text).toMatch(/cutting circle .*check the outfeed table .*at the front and at the back/i);
  expect(text).toMatch(/levelling the bed may be the better cure/i);
});

test('a reader that has seen enough is no fault', () => {
  for (const line of [
    `analyse ${MACHINE} ${BOARDS}`,
    `analyse ${MACHINE} ${BOARDS} --json`,
    `read ${MACHINE} ${BOARDS}`,
    '--help',
  ]) {
    const run = shell(
      `set -o pipefail\nproofboard ${line} 2>errors | head -n 1 >/dev/null; cat errors`.replaceAll(
        'errors',
        `${temporaryFolder()}/errors`,
      ),
    );
    expect(run.stdout + run.stderr).not.toMatch(/EPIPE|fault|Error:|at .*\.js/);
    expect(run.code).toBe(0);
  }
});

test('the program answers quickly what needs nothing', () => {
  expect(proofboard(['--version'])).toMatchObject({
    code: 0,
    stderr: '',
    stdout: expect.stringMatching(/^\d+\.\d+\.\d+\n$/),
  });
  expect(proofboard(['-V']).stdout).toBe(proofboard(['--version']).stdout);
});
