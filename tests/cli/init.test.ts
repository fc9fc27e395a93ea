import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { jsonOf, MACHINE, proofboard, root, temporaryFolder, written } from './program.js';

const NEEDED: Readonly<Record<string, string>> = {
  name: 'Bench thicknesser',
  knives: '4',
  'cutting-diameter': '120',
  'block-length': '520',
  at: '40,480',
  thread: 'M6',
  'raised-by': 'anticlockwise',
  'finest-turn': '1/16',
};

function args(options: Readonly<Record<string, string>>): string[] {
  return Object.entries(options).flatMap(([name, value]) => [`--${name}`, value]);
}

function init(options: Readonly<Record<string, string>>, ...more: string[]) {
  return proofboard(['init', ...args(options), ...more]);
}

describe('without a terminal', () => {
  test('the file is printed, and every other command reads it', () => {
    const run = init(NEEDED);
    expect(run).toMatchObject({ code: 0, stderr: '' });
    expect(run.stdout).toContain('# Cutting diameter: ');
    const [file] = written(temporaryFolder(), { 'm.toml': run.stdout });
    const read = proofboard(['read', file!]);
    expect(read.code).toBe(0);
    expect(read.stdout).toMatch(/knives +1, 2, 3, 4\n/);
    expect(read.stdout).toMatch(/cutting circle +120\.000 mm across\n/);
    expect(read.stdout).toMatch(/adjusters +40\.000 mm, 480\.000 mm/);
    expect(proofboard(['plan', file!]).code).toBe(0);
  });

  test('its lines stay within 80 columns', () => {
    for (const line of init(NEEDED).stdout.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
  });

  test('--out writes the file whole, and says what comes next', () => {
    const folder = temporaryFolder();
    const out = join(folder, 'my machine.toml');
    const run = init(NEEDED, '--out', out);
    expect(run).toMatchObject({ code: 0, stdout: '' });
    expect(run.stderr).toContain(`written: ${out}\n`);
    expect(run.stderr).toContain(`proofboard read '${out}'`);
    expect(run.stderr).toContain(`proofboard plan '${out}'`);
    expect(readFileSync(out, 'utf8')).toBe(init(NEEDED).stdout);
    expect(readdirSync(folder)).toEqual(['my machine.toml']);
  });

  test('a file that is there is overwritten with --force and not otherwise', () => {
    const folder = temporaryFolder();
    const [out] = written(folder, { 'm.toml': '# kept\n' });
    for (const more of [[], ['--yes'], ['--json']]) {
      const run = init(NEEDED, '--out', out!, ...more);
      expect(run.code).toBe(2);
      expect(run.stderr).toContain('--force');
      expect(readFileSync(out!, 'utf8')).toBe('# kept\n');
    }
    expect(init(NEEDED, '--out', out!, '--force').code).toBe(0);
    expect(readFileSync(out!, 'utf8')).toContain('cutting_diameter = 120');
    expect(readdirSync(folder)).toEqual(['m.toml']);
  });

  test('--json prints one document, with or without a file', () => {
    const printed = jsonOf(init(NEEDED, '--json'));
    expect(printed).toEqual({
      schema: 'proofboard/machine-file@1',
      file: null,
      text: init(NEEDED).stdout,
      notices: [],
    });
    const out = join(temporaryFolder(), 'm.toml');
    expect(jsonOf(init(NEEDED, '--json', '--out', out)).file).toBe(out);
    expect(readFileSync(out, 'utf8')).toBe(printed.text);
    const refused = jsonOf(init({ name: 'x' }, '--json'));
    expect(Object.keys(refused)).toEqual(['schema', 'notices']);
    expect(refused.notices.length).toBeGreaterThan(5);
  });

  test('every option that is missing is named at once', () => {
    const run = init({});
    expect(run).toMatchObject({ code: 2, stdout: '' });
    const lines = run.stderr.trimEnd().split('\n');
    expect(lines).toHaveLength(Object.keys(NEEDED).length);
    for (const name of Object.keys(NEEDED)) {
      expect(lines.filter((line) => line.startsWith(`error: --${name} `))).toHaveLength(1);
    }
  });

  test.each(Object.keys(NEEDED))('--%s alone is missed', (name) => {
    const { [name]: _, ...others } = NEEDED;
    const run = init(others);
    expect(run).toMatchObject({ code: 2, stdout: '' });
    expect(run.stderr.trimEnd().split('\n')).toHaveLength(1);
    expect(run.stderr).toContain(`--${name} `);
    expect(run.stderr).toContain('for example');
  });

  test('shims need their stock and nothing of screws', () => {
    const shims = {
      name: 'x',
      knives: '2',
      'cutting-diameter': '75',
      'block-length': '310',
      at: '25,285',
      adjusters: 'shim',
    };
    const missing = init(shims);
    expect(missing.stderr).toMatch(/^error: --stock is missing/);
    expect(missing.stderr.trimEnd().split('\n')).toHaveLength(1);
    const run = init({ ...shims, stock: '0.02, 0.05 x 6' });
    expect(run.code).toBe(0);
    expect(run.stdout).toContain('stock = [0.02, { thickness = 0.05, count = 6 }]');
  });

  test.each([
    ['a lever', { 'lift-per-turn': '0.4' }, /lift_per_turn = 0\.4/],
    ['a pitch', { pitch: '1.25 mm' }, /pitch = "1\.25 mm"/],
  ])('%s will do in place of a thread', (_, instead, line) => {
    const { thread, ...others } = NEEDED;
    expect(thread).toBe('M6');
    const run = init({ ...others, ...instead });
    expect(run).toMatchObject({ code: 0, stderr: '' });
    expect(run.stdout).toMatch(line);
  });

  test.each([
    ['cutting-diameter', 'wide', /found wide.*expected a length/],
    ['cutting-diameter', '0', /not above zero/],
    ['cutting-diameter', '12 parsecs', /parsecs/],
    ['block-length', '1,250', /two ways.*1\.250 or 1250/],
    [
      'at',
      '40, 600',
      /--at, value 2, is off the block \(found 600, expected from 0 to the block’s length, 520/,
    ],
    ['at', '480, 40', /less than the one before/],
    ['at', '40', /has one position.*found 40/],
    ['knives', '1, 2, 2', /--knives, value 3, is the id of an earlier knife/],
    ['knives', 'A, all', /found "all"|found all/],
    ['knives', '99', /lists 99 knives.*expected 1 to 24/],
    ['thread', 'M6x3', /no pitch of 3/],
    ['raised-by', 'up', /--raised-by is not.*found up.*clockwise/],
    ['finest-turn', 'little', /--finest-turn is not a part of a turn|--finest-turn is not a turn/],
    ['feed-speed', '9', /--feed-speed has no unit.*found 9.*9 m\/min/],
    ['unit', 'cm', /--unit.*found cm/],
    ['pitch', '1', /--pitch stands beside thread/],
    ['most', '3', /--most is for kind = "shim"/],
    ['max-projection', '-1', /not above zero/],
    ['projection-knife', '9', /--projection-knife is not one of the knives/],
    ['angles', '0, 90', /has 2 angles for 4 knives/],
    ['bed-pitch', 'x', /--bed-pitch is not a length/],
    ['contact', 'thumb', /--contact is not a contact/],
    ['outfeed', 'perhaps', /--outfeed.*yes or no/],
    ['end-names', 'left', /--end-names does not name the two ends/],
    ['name', '', /--name is blank.*found nothing/],
    ['name', 'a\tb', /--name holds a line break or control character/],
    ['set-note', 'a\u007fb', /--set-note holds a line break or control character/],
    ['most', 'three', /--most is not a whole number/],
  ])('--%s %s is refused by name', (name, value, words) => {
    const out = join(temporaryFolder(), 'm.toml');
    const run = init({ ...NEEDED, [name]: value }, '--out', out);
    expect(run).toMatchObject({ code: 2, stdout: '' });
    expect(run.stderr).toMatch(words);
    expect(run.stderr).toMatch(/^error: --/);
    expect(run.stderr).not.toMatch(/\n\s+at /);
    expect(existsSync(out)).toBe(false);
  });

  test('every bad option is named at once, and an option that is none is refused', () => {
    const run = init({ ...NEEDED, 'cutting-diameter': 'x', 'block-length': 'y', knives: '1 1' });
    expect(run.stderr.match(/^error: --(cutting-diameter|block-length|knives)/gm)).toHaveLength(3);
    expect(init({ ...NEEDED, 'cuting-diameter': '120' })).toMatchObject({ code: 2, stdout: '' });
  });

  test('doubts are told and do not stop', () => {
    const run = init({ ...NEEDED, 'block-speed': '6000 rpm', 'max-speed': '5500 rpm' });
    expect(run.code).toBe(0);
    expect(run.stderr).toMatch(/warning: block\.speed is above max_speed/);
  });

  test('a place that cannot be written to leaves nothing behind', () => {
    const folder = temporaryFolder();
    expect(init(NEEDED, '--out', join(folder, 'no/m.toml')).code).toBe(2);
    expect(readdirSync(folder)).toEqual([]);
  });
});

describe('--from', () => {
  const DEMO = readFileSync(join(root, MACHINE), 'utf8');

  test('changes what options say, and leaves the rest as it is', () => {
    const run = proofboard([
      'init',
      '--from',
      MACHINE,
      '--feed-speed',
      '6 m/min',
      '--reach',
      '40',
      '--out',
      '-',
    ]);
    expect(run).toMatchObject({ code: 0, stderr: '' });
    expect(run.stdout).toBe(`${DEMO.replace('"9 m/min"', '"6 m/min"').trimEnd()}\nreach = 40\n`);
  });

  test('never writes over its own file without --force', () => {
    const folder = temporaryFolder();
    const [file] = written(folder, { 'm.toml': DEMO });
    const change = ['init', '--from', file!, '--name', 'other', '--out', file!];
    expect(proofboard(change).code).toBe(2);
    expect(readFileSync(file!, 'utf8')).toBe(DEMO);
    expect(proofboard([...change, '--force']).code).toBe(0);
    expect(readFileSync(file!, 'utf8')).toBe(DEMO.replace(/^name = .*$/m, 'name = "other"'));
  });

  test('a pitch takes the place of the thread, shims that of all about screws', () => {
    const pitch = proofboard(['init', '--from', MACHINE, '--pitch', '0.75', '--out', '-']);
    expect(pitch.code).toBe(0);
    expect(pitch.stdout).toContain('\n# thread = "M6"\n');
    expect(pitch.stdout).toContain('\npitch = 0.75\n');
    const shims = proofboard([
      'init',
      '--from',
      MACHINE,
      '--adjusters',
      'shim',
      '--stock',
      '0.05',
      '--out',
      '-',
    ]);
    expect(shims).toMatchObject({ code: 0, stderr: '' });
    expect(
      shims.stdout.match(/^# (thread|lift_per_turn|raised_by|finest_turn|approach) = /gm),
    ).toHaveLength(5);
  });

  test('what is still wrong in it is told with its line, and the option that mends it', () => {
    const text = DEMO.replace('cutting_diameter = 120', 'cutting_diameter = 0').replace(
      'length',
      'lenght',
    );
    const [file] = written(temporaryFolder(), { 'm.toml': text });
    const run = proofboard(['init', '--from', file!, '--out', '-']);
    expect(run).toMatchObject({ code: 2, stdout: '' });
    expect(run.stderr).toMatch(/m\.toml:7:20: error: block\.cutting_diameter.*--cutting-diameter/);
    expect(run.stderr).toMatch(/m\.toml:8:1: error: block\.lenght is not a key.*length/);
    expect(run.stderr).toMatch(/error: --block-length is missing/);
    const [near] = written(temporaryFolder(), { 'm.toml': text.replace('lenght', 'length') });
    expect(
      proofboard(['init', '--from', near!, '--cutting-diameter', '120', '--out', '-']).stdout,
    ).toBe(DEMO);
  });

  test('a line that is no TOML can be given anew', () => {
    const text = DEMO.replace('"4500 rpm"', '4500 rpm # as marked');
    const [file] = written(temporaryFolder(), { 'm.toml': text });
    const refused = proofboard(['init', '--from', file!, '--out', '-']);
    expect(refused).toMatchObject({ code: 2, stdout: '' });
    expect(refused.stderr).toMatch(/m\.toml:9:\d+: error: not valid TOML.*--block-speed/);
    const mended = proofboard(['init', '--from', file!, '--block-speed', '4500', '--out', '-']);
    expect(mended).toMatchObject({ code: 0, stderr: '' });
    expect(mended.stdout).toContain('\n# speed = 4500 rpm # as marked\n');
    expect(mended.stdout).toContain('\nspeed = "4500 rpm"\n');
  });

  test.each([
    ['nothing.toml', null, /cannot read/],
    ['m.toml', '', /empty/],
    ['m.toml', 'name = "x\n[block\n', /by hand/],
    ['m.toml', 'name = "x"\nblock = 5\n', /m\.toml:2:9: error: block is not a table.*by hand/i],
  ])('a file that cannot be corrected is refused: %s %j', (name, text, words) => {
    const folder = temporaryFolder();
    if (text !== null) writeFileSync(join(folder, name), text);
    const { name: _, ...others } = NEEDED;
    const run = proofboard(['init', '--from', join(folder, name), ...args(others), '--out', '-']);
    expect(run).toMatchObject({ code: 2, stdout: '' });
    expect(run.stderr).toMatch(words);
    expect(run.stderr).not.toMatch(/fault of the program/);
  });

  test('standard input can be the file', () => {
    const run = proofboard(['init', '--from', '-', '--name', 'other'], { input: DEMO });
    expect(run.stdout).toBe(DEMO.replace(/^name = .*$/m, 'name = "other"'));
  });
});
