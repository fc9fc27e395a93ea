import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { readMachine } from '../../src/machine/read-machine.js';
import { MACHINE, root, temporaryFolder, written } from './program.js';
import { type Terminal, terminal } from './terminal.js';

/** What is asked, by the words at the place to type, and what is typed. */
type Line = readonly [prompt: string, answer: string];

async function answer(session: Terminal, lines: readonly Line[]): Promise<void> {
  for (const [prompt, typed] of lines) {
    await session.waitFor(`◆  ${prompt}`);
    await session.waitFor('└');
    session.enter(typed);
  }
}

const BLOCK: readonly Line[] = [
  ['Name', 'Old Bess'],
  ['Unit', ''],
  ['Knives', '3'],
  ['Cutting diameter, mm', '3 3/4 in'],
  ['Block length, mm', '520'],
  ['Block speed', '4500'],
  ['Highest speed', ''],
  ['yes or no (Enter: no)', ''],
  ['yes or no (Enter: no)', ''],
  ['Feed speed', '9 m/min'],
];

const ADJUSTERS: readonly Line[] = [
  ['Adjusters', ''],
  ['Positions, mm', '40, 480'],
  ['Thread', 'M6'],
  ['Raised by', 'anticlockwise'],
  ['Finest turn', '1/16'],
  ['Approach', ''],
  ['yes or no (Enter: no)', ''],
  ['yes or no (Enter: no)', ''],
];

const REST: readonly Line[] = [
  ['Repeatability, mm', ''],
  ['yes or no (Enter: no)', ''],
  ['Outfeed table', 'no'],
  ['Knife tolerance, mm', '0,05'],
  ['Bed tolerance, mm', ''],
  ['Resolution, mm', ''],
  ['Largest error, mm', ''],
  ['yes or no (Enter: no)', ''],
  ['yes or no (Enter: no)', ''],
];

const EVERYTHING = [...BLOCK, ...ADJUSTERS, ...REST];

async function machineIn(file: string) {
  return (await readMachine({ name: file, content: readFileSync(file) })).machine;
}

describe('a dialogue', () => {
  test('from the first question to the file, which is not there before', async () => {
    const cwd = temporaryFolder();
    const session = terminal(['init'], { cwd });
    await answer(session, EVERYTHING);
    await session.waitFor('Write it to machine.toml?');
    expect(readdirSync(cwd)).toEqual([]);
    session.enter('yes');
    expect((await session.ended()).code).toBe(0);
    const shown = session.shown();
    expect(shown).toContain('proofboard read machine.toml');
    expect(shown).toContain('proofboard plan machine.toml');
    expect(readdirSync(cwd)).toEqual(['machine.toml']);
    expect(await machineIn(join(cwd, 'machine.toml'))).toMatchObject({
      name: 'Old Bess',
      block: { knives: ['1', '2', '3'], cuttingDiameter: 95.25, length: 520, speed: 4500 },
      feedSpeed: 9000,
      adjusters: { kind: 'screw', at: [40, 480], thread: 'M6', raisedBy: 'anticlockwise' },
      tolerance: { knife: 0.05, bed: 0.1 },
    });
  });

  test('says of every question its unit, a typical value, why it matters, and the cautions', async () => {
    const session = terminal(['init'], { cwd: temporaryFolder() });
    await answer(session, EVERYTHING);
    await session.waitFor('Write it to machine.toml?');
    const questions = session.shown().split(/\n│ {2}(?=[A-Z][\w ]+ · )/);
    expect(questions.length).toBeGreaterThan(15);
    for (const question of questions.slice(1)) expect(question).toMatch(/Typical.*:[\s\S]*Why: /);
    expect(session.shown().match(/isolated and locked off/g)!.length).toBeGreaterThanOrEqual(3);
    expect(session.shown()).toContain('Enter passes it over: 0.005 mm.');
  });

  test('no line of a question is wider than the terminal', async () => {
    const session = terminal(['init'], { cwd: temporaryFolder() });
    await answer(session, EVERYTHING);
    await session.waitFor('Write it to machine.toml?');
    const wide = session
      .shown()
      .split(/\r?\n|█/)
      .filter((line) => line.length > 80);
    expect(wide).toEqual([]);
  });

  test('answers that cannot be are refused with what would do, until one can', async () => {
    const session = terminal(['init'], { cwd: temporaryFolder() });
    await answer(session, BLOCK.slice(0, 2));
    await answer(session, [['Knives', '']]);
    await session.waitFor('This one is needed');
    await answer(session, [['Knives', '1 1']]);
    await session.waitFor('is the id of an earlier knife');
    await answer(session, [['Knives', 'A B all']]);
    await session.waitFor('cannot be a knife’s id');
    await answer(session, [['Knives', 'A B']]);
    await answer(session, [['Cutting diameter, mm', 'big']]);
    await session.waitFor('Cutting diameter is not a length (found big;');
    await session.waitFor('For example: 120');
    await answer(session, [['Cutting diameter, mm', '12']]);
    await session.waitFor('unusually small: 12 mm');
    await answer(session, [['Cutting diameter, mm (Enter keeps it)', '120']]);
    await answer(session, [['Block length, mm', '520']]);
    await answer(session, [
      ['Block speed', '6000'],
      ['Highest speed', '5500'],
    ]);
    await answer(session, BLOCK.slice(7));
    await answer(session, ADJUSTERS.slice(0, 1));
    await answer(session, [['Positions, mm', '40, 600']]);
    await session.waitFor(/value 2, is off the block \(found 600; expected\s+│? *from 0/);
    await answer(session, ADJUSTERS.slice(1));
    await answer(session, REST);
    await session.waitFor('above max_speed');
    session.enter('no');
    expect((await session.ended()).code).toBe(130);
  });

  test('goes back as often as wanted, and answers that stand are kept with Enter', async () => {
    const cwd = temporaryFolder();
    const session = terminal(['init'], { cwd });
    await answer(session, [['Name', '<']]);
    await session.waitFor('This is the first question.');
    await answer(session, BLOCK);
    await answer(session, [
      ['Adjusters', '<'],
      ['Feed speed', '<'],
      ['yes or no (Enter: no)', 'back'],
      ['yes or no (Enter: no)', '<'],
      ['Highest speed', '<'],
      ['Block speed', '<'],
      ['Block length, mm', '<'],
      ['Cutting diameter, mm', '120'],
    ]);
    await session.waitFor('Now: 520. Enter keeps it.');
    await answer(session, [['Block length, mm', '']]);
    await session.waitFor('Now: 4500 rpm. Enter keeps it.');
    await answer(session, [['Block speed', '-'], ...BLOCK.slice(6), ...ADJUSTERS, ...REST]);
    await session.waitFor('Write it to machine.toml?');
    session.enter('<');
    await answer(session, [
      ['yes or no (Enter: no)', 'y'],
      ['Knife set', 'set "A"'],
      ['Edge', 'back'],
      ['Fitted', ''],
      ['Note', ''],
    ]);
    await session.waitFor('Write it to machine.toml?');
    session.enter('');
    expect((await session.ended()).code).toBe(0);
    expect(await machineIn(join(cwd, 'machine.toml'))).toMatchObject({
      block: { cuttingDiameter: 120, length: 520, speed: null },
      set: { name: 'set "A"', edge: 'back' },
    });
  });

  test('going back to the unit leaves the lengths what they were', async () => {
    const cwd = temporaryFolder();
    const session = terminal(['init'], { cwd });
    await answer(session, [
      ...BLOCK.slice(0, 3),
      ['Cutting diameter, mm', '120'],
      ['Block length, mm', '<'],
      ['Cutting diameter, mm', '<'],
      ['Knives', '<'],
      ['Unit', 'in'],
    ]);
    await session.waitFor(/stay what they were, in mm:\s+│? *Cutting\s+│? *diameter/);
    await answer(session, [['Knives', '']]);
    await session.waitFor('Now: 120 mm.');
  });

  test('answers pasted or typed ahead, all at once, come to the same', async () => {
    const cwd = temporaryFolder();
    const session = terminal(['init'], { cwd });
    session.type(EVERYTHING.map(([, typed]) => `${typed}\r`).join(''));
    await session.waitFor('Write it to machine.toml?');
    session.enter('');
    expect((await session.ended()).code).toBe(0);
    expect(await machineIn(join(cwd, 'machine.toml'))).toMatchObject({
      name: 'Old Bess',
      feedSpeed: 9000,
      adjusters: { thread: 'M6', finestTurn: 1 / 16 },
      tolerance: { knife: 0.05, bed: 0.1 },
    });
  });

  test('--out - prints the file, which nothing else gets into', async () => {
    const session = terminal(['init', '--from', join(root, MACHINE), '--out', '-'], {
      cwd: temporaryFolder(),
    });
    for (let asked = 0; asked < 40; asked++) {
      const prompt = await session.waitFor(/◆ {2}.*/);
      session.enter('');
      if (prompt.includes('Print it?')) break;
    }
    expect((await session.ended()).code).toBe(0);
    const printed = session.shown().split('Print it?').at(-1)!.replaceAll('\r', '');
    expect(printed).toContain(readFileSync(join(root, MACHINE), 'utf8'));
  });

  test('only what options leave open is asked', async () => {
    const cwd = temporaryFolder();
    const session = terminal(
      ['init', '--name', 'x', '--unit', 'mm', '--knives', '2', '--out', 'other.toml'],
      { cwd },
    );
    await answer(session, [...BLOCK.slice(3), ...ADJUSTERS, ...REST]);
    await session.waitFor('Write it to other.toml?');
    session.enter('third.toml');
    await session.waitFor('Write it to third.toml?');
    session.enter('yes');
    expect((await session.ended()).code).toBe(0);
    expect(readdirSync(cwd)).toEqual(['third.toml']);
  });

  test('with all that is required and --yes nothing is asked', async () => {
    const cwd = temporaryFolder();
    const needed = [
      '--name',
      'x',
      '--knives',
      '2',
      '--cutting-diameter',
      '120',
      '--block-length',
      '520',
      '--at',
      '40,480',
      '--thread',
      'M6',
      '--raised-by',
      'clockwise',
      '--finest-turn',
      '1/16',
    ];
    const session = terminal(['init', '--yes', ...needed], { cwd });
    expect((await session.ended()).code).toBe(0);
    expect(readdirSync(cwd)).toEqual(['machine.toml']);
    const again = terminal(['init', '--yes', ...needed], { cwd });
    expect((await again.ended()).code).toBe(2);
    expect(again.shown()).toContain('--force');
    const missing = terminal(['init', '--yes', '--name', 'x'], { cwd });
    expect((await missing.ended()).code).toBe(2);
    expect(missing.shown()).toContain('--block-length');
  });
});

describe('nothing is written', () => {
  test.each([
    ['the first question', 0],
    ['a group', 7],
    ['the middle', 12],
    ['the last question', EVERYTHING.length - 1],
    ['the file itself', EVERYTHING.length],
  ])('on Ctrl-C at %s', async (_, count) => {
    const cwd = temporaryFolder();
    const session = terminal(['init'], { cwd });
    await answer(session, EVERYTHING.slice(0, count));
    await session.waitFor(
      count === EVERYTHING.length ? 'Write it to machine.toml?' : `◆  ${EVERYTHING[count]![0]}`,
    );
    session.type('\u0003');
    expect((await session.ended()).code).toBe(130);
    expect(session.shown()).toContain('Interrupted: nothing was written.');
    expect(readdirSync(cwd)).toEqual([]);
  });

  test('at the end of input; and Escape throws nothing away', async () => {
    const cwd = temporaryFolder();
    const session = terminal(['init'], { cwd });
    await session.waitFor('◆  Name');
    session.type('\u001b');
    await new Promise((resolve) => setTimeout(resolve, 300));
    session.enter('x');
    await session.waitFor('◆  Unit');
    session.type('\u0004');
    expect((await session.ended()).code).toBe(130);
    expect(readdirSync(cwd)).toEqual([]);
  });

  test.each([['SIGKILL'], ['SIGINT'], ['SIGHUP'], ['SIGTERM']])('on %s', async (signal) => {
    const cwd = temporaryFolder();
    const session = terminal(['init'], { cwd });
    await answer(session, EVERYTHING);
    await session.waitFor('Write it to machine.toml?');
    session.kill(signal);
    await session.ended();
    expect(readdirSync(cwd)).toEqual([]);
  });
});

describe('a file that is there', () => {
  test('is replaced after a yes, and not by Enter', async () => {
    const cwd = temporaryFolder();
    const [file] = written(cwd, { 'machine.toml': '# kept\n' });
    const session = terminal(['init'], { cwd });
    await answer(session, EVERYTHING);
    await session.waitFor('machine.toml is there already. Replace it?');
    session.enter('');
    await session.waitFor('machine.toml is there already. Replace it?');
    expect(readFileSync(file!, 'utf8')).toBe('# kept\n');
    session.enter('yes');
    expect((await session.ended()).code).toBe(0);
    expect(readFileSync(file!, 'utf8')).toContain('Old Bess');
  });

  test('is kept after a no; another name can be given, a wrong one given again', async () => {
    const cwd = temporaryFolder();
    const [file] = written(cwd, { 'machine.toml': '# kept\n' });
    const session = terminal(['init'], { cwd });
    await answer(session, EVERYTHING);
    await session.waitFor('Replace it?');
    session.enter('nowhere/x.toml');
    await session.waitFor('Write it to nowhere/x.toml?');
    session.enter('y');
    await session.waitFor('no such file or folder');
    await session.waitFor('Write it to nowhere/x.toml?');
    session.enter('no');
    expect((await session.ended()).code).toBe(130);
    expect(session.shown()).toContain('Nothing was written.');
    expect(readFileSync(file!, 'utf8')).toBe('# kept\n');
    expect(existsSync(join(cwd, 'nowhere'))).toBe(false);
  });
});

describe('--from', () => {
  const DEMO = readFileSync(join(root, MACHINE), 'utf8');

  test('begins with what is wrong, keeps comments, and asks before it writes back', async () => {
    const cwd = temporaryFolder();
    const text = DEMO.replace('cutting_diameter = 120', 'cutting_diameter = 0 # from the plate')
      .replace('speed = "9 m/min"', 'speed = 9 m/min # by the stopwatch')
      .replace('length = 520', 'length = 520\nlenght = 5');
    const [file] = written(cwd, { 'm.toml': text });
    const session = terminal(['init', '--from', 'm.toml'], { cwd });
    await session.waitFor('lenght is not a key known here. Did you mean length?');
    await answer(session, [['Take it out?', '']]);
    await session.waitFor('Wrong: Cutting diameter is not above zero (found 0;');
    await answer(session, [['Cutting diameter, mm', '']]);
    await session.waitFor('not above zero');
    await answer(session, [['Cutting diameter, mm', '125']]);
    await session.waitFor('could not be read (found speed = 9 m/min');
    await answer(session, [['Feed speed', '9 m/min']]);
    const rest = ['Name', 'Unit', 'Knives', 'Block length, mm', 'Block speed', 'Highest speed'];
    await answer(
      session,
      rest.map((prompt) => [prompt, ''] as const),
    );
    await answer(session, [
      ['yes or no (Enter: no)', ''],
      ['yes or no (Enter: no)', ''],
      ['Adjusters', ''],
      ['Positions, mm', ''],
      ['Thread', ''],
      ['Raised by', ''],
      ['Finest turn', '1/8'],
      ['Approach', ''],
    ]);
    // The file says more about its screws, so that group is open.
    await answer(session, [
      ['yes or no (Enter: yes)', ''],
      ['Lift a turn, mm', ''],
      ['Scatter of a turn', ''],
      ['yes or no (Enter: no)', ''],
      ...REST.slice(0, 3),
      ['Knife tolerance, mm', ''],
      ...REST.slice(4),
    ]);
    await session.waitFor('adjusters.finest_turn: "1/16" → "1/8"');
    await session.waitFor('m.toml is there already. Replace it?');
    expect(readFileSync(file!, 'utf8')).toBe(text);
    session.enter('yes');
    expect((await session.ended()).code).toBe(0);
    const expected = text
      .replace('cutting_diameter = 0 #', 'cutting_diameter = 125 #')
      .replace('speed = 9 m/min', 'speed = "9 m/min"\n# speed = 9 m/min')
      .replace('lenght = 5', '# lenght = 5')
      .replace('finest_turn = "1/16"', 'finest_turn = "1/8"');
    const made = readFileSync(file!, 'utf8');
    expect(made.replace('\n[outfeed]\npresent = false\n', '')).toBe(expected);
  });
});
