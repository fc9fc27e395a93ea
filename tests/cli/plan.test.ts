import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { planFaults } from '../plan/contract.js';
import {
  BOARDS,
  jsonOf,
  MACHINE,
  proofboard,
  STRIPS,
  shell,
  spoken,
  temporaryFolder,
  written,
} from './program.js';

const INCH = 'fixtures/machines/inch-jointer.toml';
const SHIMS = 'fixtures/machines/shims.toml';
const OUTFEED = 'fixtures/machines/outfeed-planer.toml';
const DEMO = { knives: ['1', '2', '3', '4'], diameter: 120, length: 520 };

const TEXTS = [
  { line: ['plan', MACHINE] },
  { line: ['plan', MACHINE, '--explain'] },
  { line: ['plan', MACHINE, '--unit', 'in', '--explain'] },
  { line: ['plan', MACHINE, '--cuts', 'full'] },
  { line: ['plan', MACHINE, '--cuts', 'hand', '--stations', '3', '--repeats', '1'] },
  { line: ['plan', INCH, '--explain'] },
  { line: ['plan', INCH, '--unit', 'mm'] },
  { line: ['plan', SHIMS] },
  { line: ['plan', OUTFEED] },
];

const ESCAPE = String.fromCharCode(27);
const CAUTIONS = [
  /isolate/i,
  /lock it off/i,
  /gloves/i,
  /pulley or belt/i,
  /never by the block or a knife/i,
  /standing aside/i,
  /boards no shorter than the manual/i,
  /second person/i,
  /competent person/i,
];

describe.each(spoken(TEXTS))('$command', ({ line }) => {
  const { stdout } = proofboard(line);

  test('is no wider than 80 columns, without colours, blanks at the ends of lines or empty lines', () => {
    expect(stdout.split('\n').filter((text) => [...text].length > 80)).toEqual([]);
    expect(stdout).not.toContain(ESCAPE);
    expect(stdout.match(/[^\n]*[ \t]\n/g) ?? []).toEqual([]);
    expect(stdout).not.toContain('\n\n\n');
  });

  test('has no figure without a value', () => {
    const bad = /[-−+]0(\.0+)?(?![\d.])|\b(NaN|null|undefined|Infinity)\b|\[object/g;
    expect(stdout.match(bad) ?? []).toEqual([]);
  });

  test('has the cautions', () => {
    const text = stdout.replaceAll(/\s+/g, ' ');
    expect(CAUTIONS.filter((word) => !word.test(text))).toEqual([]);
  });
});

test('colour says nothing alone', () => {
  const line = `script -qec '"${process.execPath}" dist/proofboard.js plan ${MACHINE}' /dev/null`;
  if (shell('command -v script').code !== 0) return;
  const terminal = (env: Record<string, string>) =>
    shell(line, undefined, { TERM: 'xterm-256color', ...env }).stdout;
  const coloured = terminal({});
  expect(coloured).toContain(`${ESCAPE}[`);
  expect(coloured.replaceAll(new RegExp(`${ESCAPE}\\[[0-9;]*m`, 'g'), '')).toBe(
    terminal({ NO_COLOR: '1' }),
  );
});

test('the text leads a careful person: the cheap question, the boards, the steps, what it tells', () => {
  const text = proofboard(['plan', MACHINE]).stdout.replaceAll(/\s+/g, ' ');
  const order = [
    /Every knife's end will be known to ± 0\.00\d mm/,
    /First the cheap question/,
    /at one locked bed height/,
    /stop here: a block that was set right is best left alone/,
    /How to cut and measure by hand/,
    /prove that it cannot start/,
    /1, 2, 3, 4 in the first round, 4, 3, 2, 1 in the next/,
    /Draw the strip clear/,
    /three tries, and write down the smallest/,
    /Where that cannot be done/,
    /What that will tell/,
    /What next/,
    /Cautions/,
  ].map((words) => text.search(words));
  expect(order).not.toContain(-1);
  expect(order.toSorted((a, b) => a - b)).toEqual(order);
  expect(text).not.toMatch(/raise a knife (?!for)/);
});

test('in inches, positions are those that an inch rule shows', () => {
  const { boards } = jsonOf(proofboard(['plan', INCH, '--json']));
  const text = proofboard(['plan', INCH]).stdout;
  expect(text).toMatch(/± 0\.00\d\d in/);
  // What the machine file leaves out is told as it is kept, in mm.
  expect(text.slice(0, text.indexOf('Taken for granted'))).not.toMatch(/\d mm\b/);
  for (const { cut, x, y } of boards) {
    if (cut !== 'hand') continue;
    for (const at of [...x, ...y]) {
      const eighths = (at / 25.4) * 8;
      expect(eighths).toBeCloseTo(Math.round(eighths), 6);
    }
  }
});

describe('--json', () => {
  test.each(
    spoken([
      { line: ['plan', MACHINE, '--json'], code: 0 },
      { line: ['plan', MACHINE, '--json', '--explain', '--unit', 'in'], code: 0 },
      { line: ['plan', MACHINE, '--json', '--cuts', 'full'], code: 3 },
      { line: ['plan', MACHINE, '--json', '--stations', '1'], code: 3 },
    ]),
  )('$command', ({ line, code }) => {
    const run = proofboard(line);
    expect(run.code).toBe(code);
    expect(planFaults(jsonOf(run), DEMO)).toEqual([]);
  });

  test('speaks in the same unit whoever reads', () => {
    const [one, other] = [['--json'], ['--json', '--unit', 'in']].map(
      (rest) => proofboard(['plan', MACHINE, ...rest]).stdout,
    );
    expect(one).toBe(other);
  });

  test('comes with its notices and no boards where the input has errors', () => {
    const run = proofboard(['plan', MACHINE, '--json', '--stations', '0']);
    expect(run.code).toBe(2);
    const document = jsonOf(run);
    expect(Object.keys(document).toSorted()).toEqual(['notices', 'schema']);
    expect(document.notices[0].severity).toBe('error');
  });
});

describe('--out', () => {
  test('writes what --json prints, also at exit code 3, and says so on standard error', () => {
    const folder = temporaryFolder();
    for (const rest of [[], ['--cuts', 'full']]) {
      const out = join(folder, `plan${rest.length}.json`);
      const run = proofboard(['plan', MACHINE, ...rest, '--out', out]);
      expect(run.code).toBe(rest.length === 0 ? 0 : 3);
      expect(run.stderr).toContain(`written: ${out}`);
      expect(readFileSync(out, 'utf8')).toBe(
        proofboard(['plan', MACHINE, ...rest, '--json']).stdout,
      );
    }
  });

  test('overwrites nothing without --force', () => {
    const [out] = written(temporaryFolder(), { 'plan.json': 'somebody’s own' }) as [string];
    const refused = proofboard(['plan', MACHINE, '--out', out]);
    expect(refused.code).toBe(2);
    expect(refused.stdout).toBe('');
    expect(refused.stderr).toMatch(/exists already.*--force/);
    expect(readFileSync(out, 'utf8')).toBe('somebody’s own');
    expect(proofboard(['plan', MACHINE, '--out', out, '--force']).code).toBe(0);
    expect(jsonOf({ code: 0, stdout: readFileSync(out, 'utf8'), stderr: '' }).schema).toBe(
      'proofboard/plan@1',
    );
  });

  test('writes nothing where there is no plan, or no folder', () => {
    const out = join(temporaryFolder(), 'plan.json');
    expect(proofboard(['plan', MACHINE, '--cuts', 'sawn', '--out', out]).code).toBe(2);
    expect(existsSync(out)).toBe(false);
    const nowhere = proofboard(['plan', MACHINE, '--out', join(out, 'deeper.json')]);
    expect(nowhere.code).toBe(2);
    expect(nowhere.stderr).toMatch(/no such file or folder/);
    expect(nowhere.stdout).toBe('');
  });
});

describe('what is refused, with what was found, expected, and what to do', () => {
  test.each(
    spoken([
      { line: ['plan', MACHINE, '--stations', '0'], words: [/--stations/, /found 0/, /1 to 24/] },
      { line: ['plan', MACHINE, '--stations', '25'], words: [/found 25/, /1 to 24/] },
      { line: ['plan', MACHINE, '--repeats', '1000'], words: [/--repeats/, /found 1000/] },
      {
        line: ['plan', MACHINE, '--stations', '2.5'],
        words: [/'2\.5'/, /whole number, such as 5/],
      },
      { line: ['plan', MACHINE, '--stations', '-4'], words: [/-4/, /whole number/] },
      { line: ['plan', MACHINE, '--repeats', 'many'], words: [/'many'/, /whole number/] },
      {
        line: ['plan', MACHINE, '--cuts', 'hand,sawn'],
        words: [/found sawn/, /hand, proud, full/],
      },
      { line: ['plan', MACHINE, '--cuts', ''], words: [/found nothing/] },
      { line: ['plan', MACHINE, '--unit', 'cm'], words: [/'cm'/, /mm, in/] },
      { line: ['plan', MACHINE, '--colour'], words: [/--colour/, /--help/] },
      { line: ['plan'], words: [/machine/, /--help/] },
      { line: ['plan', 'nowhere.toml'], words: [/nowhere\.toml/, /check the name/] },
      { line: ['plan', BOARDS], words: [/boards\.csv:\d+/] },
      { line: ['plan', MACHINE, '--result', 'nowhere.json'], words: [/nowhere\.json/] },
      {
        line: ['plan', MACHINE, '--result', MACHINE],
        words: [/not a JSON file/, /analyse or confirm/],
      },
    ]),
  )('$command', ({ line, words }) => {
    const run = proofboard(line);
    expect(run.code).toBe(2);
    expect(run.stdout).toBe('');
    for (const word of words) expect(run.stderr).toMatch(word);
    expect(run.stderr).not.toMatch(/fault of the program|at .*\.js|Error:/);
  });

  test('a plan in place of a result, and a result of another machine', () => {
    const folder = temporaryFolder();
    const plan = join(folder, 'plan.json');
    const result = join(folder, 'result.json');
    proofboard(['plan', MACHINE, '--out', plan]);
    const refused = proofboard(['plan', MACHINE, '--result', plan]);
    expect(refused).toMatchObject({ code: 2, stdout: '' });
    expect(refused.stderr).toMatch(/plan\.json: error: this is not a result/);
    proofboard(['analyse', MACHINE, BOARDS, '--out', result]);
    const another = proofboard(['plan', SHIMS, '--result', result]);
    expect(another).toMatchObject({ code: 2, stdout: '' });
    expect(another.stderr).toMatch(/result\.json.*another machine/);
  });
});

describe('from a result', () => {
  test('strips under power that answered are not asked for again', () => {
    const result = join(temporaryFolder(), 'strips.json');
    proofboard(['analyse', MACHINE, STRIPS, '--out', result]);
    const run = proofboard(['plan', MACHINE, '--result', result, '--json']);
    expect(run.code).toBe(0);
    const document = jsonOf(run);
    expect(planFaults(document, DEMO)).toEqual([]);
    expect(document.boards.map(({ cut }: { cut: string }) => cut)).not.toContain('full');
  });

  test('each move is told with the reading that could overturn it', () => {
    const result = join(temporaryFolder(), 'result.json');
    proofboard(['analyse', MACHINE, BOARDS, '--out', result]);
    const run = proofboard(['plan', MACHINE, '--result', result]);
    expect(run.code).toBe(0);
    const moves = JSON.parse(readFileSync(result, 'utf8')).moves;
    const text = run.stdout.replaceAll(/\s+/g, ' ');
    for (const { knife, end } of moves) expect(text).toContain(`Knife ${knife}, ${end}: measure`);
    expect(text).toMatch(/boards\.csv:\d+/);
    expect(text).toMatch(/No board is to be cut/);
  });
});

test('its places, measured, go straight into analyse', () => {
  const folder = temporaryFolder();
  const { boards } = jsonOf(proofboard(['plan', MACHINE, '--json']));
  const rows = boards.flatMap(
    ({
      board,
      cut,
      knives,
      x,
      y,
      spacing,
    }: Record<string, never> & { knives: string[]; x: number[]; y: number[] }) =>
      y.flatMap((first, round) =>
        (round % 2 === 1 ? knives.toReversed() : knives).flatMap((knife, i) =>
          x.map(
            (at) =>
              `${board},${cut},${knife},${at},${first + i * (spacing ?? 0)},20.0${(i + round) % 3}`,
          ),
        ),
      ),
  );
  const csv = join(folder, 'measured.csv');
  writeFileSync(csv, `${['board,cut,knife,x,y,thickness', ...rows].join('\n')}\n`);
  const run = proofboard(['analyse', MACHINE, csv, '--json']);
  expect(run.code).toBe(0);
  expect(jsonOf(run).readings.total).toBe(rows.length);
});
