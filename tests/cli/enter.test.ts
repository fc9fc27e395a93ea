import { existsSync, readdirSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { truthOf } from '../workshop/simulate.js';
import { begun, measuredFor, PLACES, rowsOf, SMALL, thicknessesOf } from './enter-shop.js';
import { jsonOf, MACHINE, proofboard, temporaryFolder, written } from './program.js';
import { terminal } from './terminal.js';

function enterInto(out: string, ...more: readonly string[]) {
  return terminal(['enter', MACHINE, '--out', out, ...more]);
}

/** Types lines into a pipe. */
function piped(out: string, lines: readonly string[], ...more: readonly string[]) {
  const input = lines.map((line) => `${line}\n`).join('');
  return proofboard(['enter', MACHINE, '--out', out, ...more], { input });
}

test('a whole session, place by place, whose file goes straight into analyse', async () => {
  const folder = temporaryFolder();
  const out = join(folder, 'readings.csv');
  begun(out, []);
  const { shop, readings } = measuredFor(out, 3);
  const session = enterInto(out);
  for (const [i, reading] of readings.entries()) {
    await session.waitFor(`[${i + 1}/${readings.length}]`);
    // What was accepted before is on disk by now.
    const there = thicknessesOf(out);
    expect(there.slice(0, i)).toEqual(readings.slice(0, i));
    expect(there.slice(i).every((text) => text === '')).toBe(true);
    session.enter(reading);
  }
  await session.waitFor(`Next:  proofboard analyse ${MACHINE} ${out}`);
  expect(await session.ended()).toEqual({ code: 0, signal: 0 });
  expect(readdirSync(folder)).toEqual(['readings.csv']);
  const analysed = proofboard(['analyse', MACHINE, out, '--json']);
  expect(analysed).toMatchObject({ code: 0, stderr: '' });
  const result = jsonOf(analysed);
  expect(result.readings).toMatchObject({ total: readings.length });
  for (const { id, front, back } of truthOf(shop).offsets) {
    const knife = result.knives.find((each: { id: string }) => each.id === id);
    [front, back].forEach((offset, end) => {
      expect(Math.abs(knife.ends[end].offset - offset)).toBeLessThan(4 * knife.ends[end].u);
    });
  }
});

test('the cautions stand where hands come in, once, and the plan is pointed to', async () => {
  const session = enterInto(join(temporaryFolder(), 'r.csv'), ...SMALL);
  await session.waitFor('[1/32]');
  const shown = session.shown().replace(/\s+/g, ' ');
  expect(shown).toContain(`proofboard plan ${MACHINE} says how`);
  expect(shown).toContain('Isolate the machine and lock it off');
  for (let i = 2; i <= 9; i++) {
    session.enter('20.01');
    await session.waitFor(`[${i}/32]`);
  }
  expect(session.shown()).toContain('Board H2');
  expect(session.shown().match(/Isolate/g)).toHaveLength(1);
});

test('fractions, commas, units and both units on one sheet', () => {
  const out = join(temporaryFolder(), 'r.csv');
  const run = piped(out, ['25/32 in', '19,85', '0.7815"', '+019.84 mm', '1.985 cm'], ...SMALL);
  expect(run.code).toBe(3);
  expect(run.stdout).toContain('= 19.84 mm');
  expect(thicknessesOf(out).slice(0, 6)).toEqual([
    '0.78125 in',
    '19.85',
    '0.7815 in',
    '19.84',
    '1.985 cm',
    '',
  ]);
  const read = jsonOf(proofboard(['read', MACHINE, out, '--json'])).readings;
  expect(read.map(({ thickness }: { thickness: number }) => thickness)).toEqual([
    19.84375, 19.85, 19.8501, 19.84, 19.85,
  ]);
  expect(piped(out, ['25/32', '20.01'], '--unit', 'in').stdout).toContain(
    'read off in millimetres? then type 20.01 mm',
  );
  expect(thicknessesOf(out)[5]).toBe('0.78125 in');
});

test('with --unit in a new sheet is one in inches', () => {
  const out = join(temporaryFolder(), 'r.csv');
  expect(piped(out, ['25/32', '0.7820'], ...SMALL, '--unit', 'in').code).toBe(3);
  expect(readFileSync(out, 'utf8')).toContain('thickness (in)');
  expect(thicknessesOf(out).slice(0, 2)).toEqual(['0.78125', '0.7820']);
  // Gone on with in the unit that its header names.
  expect(piped(out, ['0.7815']).stdout.replace(/\s+/g, ' ')).toContain('in inches and press Enter');
  expect(thicknessesOf(out)[2]).toBe('0.7815');
});

/** A session in which the strip at the front and half of the next are entered. */
async function twelveEntered(out: string) {
  begun(out);
  const readings = measuredFor(out, 5).readings;
  const session = enterInto(out);
  for (let i = 0; i < 12; i++) {
    await session.waitFor(`[${i + 1}/${PLACES}]`);
    session.enter(readings[i]!);
  }
  await session.waitFor('[13/32]');
  return { session, readings };
}

/** A reading so far off. */
function off(reading: string, by: number): string {
  return (Number(reading) + by).toFixed(2);
}

test('a reading that disagrees is questioned at once; measured again, the new one counts', async () => {
  const out = join(temporaryFolder(), 'r.csv');
  const { session, readings } = await twelveEntered(out);
  session.enter(off(readings[12]!, 0.5));
  await session.waitFor('Questioned:');
  await session.waitFor(/0\.5 mm misread on\s+the scale/);
  await session.waitFor('measured again:');
  expect(thicknessesOf(out)[12]).toBe('');
  // An empty line decides nothing.
  session.enter('');
  await session.waitFor('type keep');
  await session.waitFor('measured again:');
  session.enter(readings[12]!);
  await session.waitFor('[14/32]');
  expect(rowsOf(out)[12]!.slice(5)).toEqual([readings[12], '']);
});

test.each([
  ['the word keep', () => 'keep'],
  ['the same again', (wrong: string) => wrong],
  ['much the same again', (wrong: string) => off(wrong, 0.01)],
])('a questioned reading is kept by %s, and said so in its row', async (_, reply) => {
  const out = join(temporaryFolder(), 'r.csv');
  const { session, readings } = await twelveEntered(out);
  const wrong = off(readings[12]!, 0.5);
  session.enter(wrong);
  await session.waitFor('measured again:');
  session.enter(reply(wrong));
  await session.waitFor('[14/32]');
  const kept = reply(wrong) === 'keep' ? wrong : reply(wrong);
  expect(rowsOf(out)[12]!.slice(5)).toEqual([kept, 'questioned and kept']);
  session.enter('stop');
  await session.waitFor('Kept though they disagree');
  await session.waitFor(`13: H2, knife`);
  expect((await session.ended()).code).toBe(3);
});

test('a questioned reading that is left alone is not saved, and that is said', async () => {
  const out = join(temporaryFolder(), 'r.csv');
  const { session, readings } = await twelveEntered(out);
  const wrong = off(readings[12]!, -1);
  session.enter(wrong);
  await session.waitFor('measured again:');
  session.enter('back');
  await session.waitFor(`${wrong} mm was questioned and is not saved`);
  await session.waitFor('[13/32]');
  session.enter(wrong);
  await session.waitFor('measured again:');
  session.type('\u0003');
  await session.waitFor(`${wrong} mm was questioned and is not saved`);
  expect((await session.ended()).code).toBe(130);
  expect(thicknessesOf(out)[12]).toBe('');
});

test('an earlier reading that later ones contradict is told when its board is done', async () => {
  const out = join(temporaryFolder(), 'r.csv');
  begun(out, ['--stations', '4', '--repeats', '4', '--cuts', 'hand']);
  const { readings } = measuredFor(out, 5);
  // Nothing is known of the first knife yet, so a slip of 0.2 mm passes.
  const run = piped(out, [off(readings[0]!, 0.2), ...readings.slice(1, 16)]);
  expect(run.stdout.replace(/\s+/g, ' ')).toMatch(
    /Look again: the readings after it contradict reading 1 \(board H1, knife 1.*go 1 to measure it again/,
  );
});

test('back, skip, go, clear, and what was skipped is come back to', async () => {
  const out = join(temporaryFolder(), 'r.csv');
  const session = enterInto(out, ...SMALL);
  await session.waitFor('[1/32]');
  session.enter('back');
  await session.waitFor('this is the first place');
  session.enter('20.01');
  await session.waitFor('[2/32]');
  session.enter('skip');
  await session.waitFor('[3/32]');
  session.enter('20.03');
  await session.waitFor('[4/32]');
  session.enter('b');
  await session.waitFor(/\[3\/32\] .*\(20\.03 mm\): /);
  session.enter('');
  await session.waitFor('[4/32]');
  session.enter('go h4');
  await session.waitFor(/\[25\/32\] H4/);
  session.enter('go 3');
  await session.waitFor('[3/32]');
  session.enter('20.02');
  await session.waitFor('[4/32]');
  expect(thicknessesOf(out).slice(0, 4)).toEqual(['20.01', '', '20.02', '']);
  session.enter('go 99');
  await session.waitFor('go and 1 to 32');
  session.enter('go 1');
  await session.waitFor('(20.01 mm): ');
  session.enter('clear');
  await session.waitFor('taken away');
  await session.waitFor('[1/32]');
  expect(thicknessesOf(out).slice(0, 4)).toEqual(['', '', '20.02', '']);
  session.enter('20.02');
  await session.waitFor('[4/32]');
  for (let i = 5; i <= 32; i++) {
    session.enter('20.02');
    await session.waitFor(`[${i}/32]`);
  }
  session.enter('20.02');
  await session.waitFor('[2/32]');
  session.enter('skip');
  await session.waitFor('31 of 32 places entered');
  await session.waitFor('To go on:  proofboard enter');
  expect((await session.ended()).code).toBe(3);
});

test('help names every word, and a slip of the fingers is not taken', async () => {
  const session = enterInto(join(temporaryFolder(), 'r.csv'), ...SMALL);
  await session.waitFor('[1/32]');
  session.enter('help');
  await session.waitFor('[1/32]');
  for (const word of ['keep', 'back', 'skip', 'clear', 'stop', 'go 17']) {
    expect(session.shown()).toContain(word);
  }
  session.enter('20.o1');
  await session.waitFor('Not taken: "20.o1"');
  await session.waitFor('[1/32]');
});

test('a half-finished file is gone on with at its first blank place, however the session ended', async () => {
  const out = join(temporaryFolder(), 'r.csv');
  const first = enterInto(out, ...SMALL);
  await first.waitFor('[1/32]');
  first.enter('20.01');
  await first.waitFor('[2/32]');
  first.type('\u0003');
  await first.waitFor('Interrupted. 1 of 32 places entered and saved');
  await first.waitFor(`To go on:  proofboard enter ${MACHINE} --out ${out}`);
  expect((await first.ended()).code).toBe(130);
  const second = enterInto(out);
  await second.waitFor('1 entered');
  await second.waitFor('[2/32]');
  second.enter('20.02');
  await second.waitFor('[3/32]');
  second.type('\u0004');
  await second.waitFor('End of input. 2 of 32');
  expect((await second.ended()).code).toBe(3);
  const third = enterInto(out);
  await third.waitFor('[3/32]');
  third.kill('SIGHUP');
  await third.ended();
  const fourth = enterInto(out);
  await fourth.waitFor('[3/32]');
  fourth.enter('stop');
  expect((await fourth.ended()).code).toBe(3);
  expect(thicknessesOf(out).slice(0, 3)).toEqual(['20.01', '20.02', '']);
});

test('a finished file can be looked through again, and a pipe changes nothing in it', async () => {
  const out = join(temporaryFolder(), 'r.csv');
  const all = Array.from({ length: PLACES }, () => '20.01');
  const first = piped(out, [...all, '25.00'], ...SMALL);
  expect(first.code).toBe(0);
  expect(first.stderr).toContain('1 more line was typed than asked for (found 25.00)');
  expect(piped(out, ['25.00']).code).toBe(0);
  expect(thicknessesOf(out)).toEqual(all);
  const session = enterInto(out);
  await session.waitFor('Every place has its reading');
  session.enter('25.00');
  await session.waitFor('type go and the number');
  session.enter('go 32');
  await session.waitFor('[32/32]');
  session.enter('20.02');
  await session.waitFor('32 of 32 places entered');
  expect((await session.ended()).code).toBe(0);
  expect(thicknessesOf(out)).toEqual([...all.slice(1), '20.02']);
});

test('a pipe loses nothing: all lines at once, CRLF, without a last line end', () => {
  const out = join(temporaryFolder(), 'r.csv');
  begun(out);
  const { readings } = measuredFor(out, 5);
  const run = proofboard(['enter', MACHINE, '--out', out], { input: readings.join('\r\n') });
  expect(run).toMatchObject({ code: 0, stderr: '' });
  expect(thicknessesOf(out)).toEqual(readings);
});

test('a wrong reading in a pipe shifts no other: it is kept, told, and marked', () => {
  const out = join(temporaryFolder(), 'r.csv');
  begun(out);
  const { readings } = measuredFor(out, 5);
  const wrong = readings.map((reading, i) => (i === 20 ? off(reading, 0.5) : reading));
  const run = piped(out, wrong);
  expect(run.code).toBe(0);
  expect(thicknessesOf(out)).toEqual(wrong);
  expect(rowsOf(out).map((row) => row[6])).toEqual(
    wrong.map((_, i) => (i === 20 ? 'questioned and kept' : '')),
  );
  expect(run.stdout).toContain('Kept though they disagree with the others:\n  21: H3');
  // The next line in the pipe can still be a word about it.
  expect(piped(out, ['go 21', readings[20]!]).code).toBe(0);
});

test('a caliper that types its readings in one burst loses none and is never taken for an answer', async () => {
  const out = join(temporaryFolder(), 'r.csv');
  begun(out);
  const { readings } = measuredFor(out, 5);
  const wrong = readings.map((reading, i) => (i === 20 ? off(reading, 0.5) : reading));
  const session = enterInto(out);
  await session.waitFor('[1/32]');
  session.type(wrong.map((reading) => `+0${reading}\r\n`).join(''));
  await session.waitFor('32 of 32 places entered');
  expect((await session.ended()).code).toBe(0);
  expect(thicknessesOf(out)).toEqual(wrong);
});

test('narrow terminals, resized while something is typed', async () => {
  const out = join(temporaryFolder(), 'r.csv');
  const session = terminal(['enter', MACHINE, '--out', out, ...SMALL], { columns: 24 });
  await session.waitFor('[1/32]');
  session.type('20');
  session.resize(9);
  session.type('.0');
  session.resize(120);
  session.enter('1');
  await session.waitFor('[2/32]');
  session.resize(2);
  session.enter('20.02');
  await session.waitFor('3/32');
  expect(thicknessesOf(out).slice(0, 3)).toEqual(['20.01', '20.02', '']);
});

test('a sheet half filled in a spreadsheet of another country is gone on with in its own way', () => {
  const [out] = written(temporaryFolder(), {
    'sheet.csv':
      '\ufeff# Werkstatt;;;;;\r\nboard;knife;x;y;thickness;Feuchte\r\nH1;1;40;40;20,01;9 %\r\nH1;2;40;70;;"8;5 %"\r\n',
  });
  const before = readFileSync(out!, 'utf8');
  expect(piped(out!, ['20.03']).code).toBe(0);
  expect(readFileSync(out!, 'utf8')).toBe(before.replace('70;;', '70;20,03;'));
});

test('a link stays a link, and what it names is entered into', () => {
  const folder = temporaryFolder();
  const [real, link] = [join(folder, 'real.csv'), join(folder, 'link.csv')];
  begun(real);
  symlinkSync(real, link);
  piped(link, ['20.01']);
  expect(thicknessesOf(real)[0]).toBe('20.01');
  expect(readdirSync(folder).sort()).toEqual(['link.csv', 'real.csv']);
});

test('a plan file is followed; one that names other places than the file is refused', () => {
  const folder = temporaryFolder();
  const [plan, out] = [join(folder, 'plan.json'), join(folder, 'r.csv')];
  proofboard(['plan', MACHINE, '--out', plan]);
  expect(piped(out, ['20.01'], '--plan', plan).code).toBe(3);
  const { boards } = JSON.parse(readFileSync(plan, 'utf8'));
  expect(new Set(rowsOf(out).map(([board]) => board))).toEqual(
    new Set(boards.map(({ board }: { board: string }) => board)),
  );
  expect(piped(out, ['20.02'], '--plan', plan).code).toBe(3);
  const before = readFileSync(out, 'utf8');
  const other = piped(out, ['20.03'], ...SMALL);
  expect(other.code).toBe(2);
  expect(other.stderr).toMatch(/r\.csv:6: error: .*other places than the plan.*leave the plan/);
  expect(readFileSync(out, 'utf8')).toBe(before);
});

test('two at once on one file: the second is refused, and may begin when the first has ended', async () => {
  const out = join(temporaryFolder(), 'r.csv');
  const first = enterInto(out, ...SMALL);
  await first.waitFor('[1/32]');
  const second = piped(out, ['20.02']);
  expect(second).toMatchObject({ code: 2, stdout: '' });
  expect(second.stderr).toContain('another enter is at work on this file');
  first.enter('20.01');
  await first.waitFor('[2/32]');
  first.enter('stop');
  await first.ended();
  expect(piped(out, ['20.02']).code).toBe(3);
  expect(thicknessesOf(out).slice(0, 3)).toEqual(['20.01', '20.02', '']);
});

test('a file that something else changes meanwhile is left as it is, and what is not saved is said', async () => {
  const out = join(temporaryFolder(), 'r.csv');
  const session = enterInto(out, ...SMALL);
  await session.waitFor('[1/32]');
  const changed = `${readFileSync(out, 'utf8')}# a note from the spreadsheet\n`;
  writeFileSync(out, changed);
  session.enter('20.01');
  await session.waitFor('what was typed last is not saved');
  await session.waitFor('0 of 32 places entered');
  expect((await session.ended()).code).toBe(2);
  expect(readFileSync(out, 'utf8')).toBe(changed);
  expect(piped(out, ['20.01']).code).toBe(3);
  expect(readFileSync(out, 'utf8')).toContain('# a note from the spreadsheet');
});

test.each([
  ['standard input named for a file', ['enter', '-', '--out', 'r.csv'], 'the readings are typed'],
  ['a plan and its options', ['enter', MACHINE, '--plan', 'p.json', '--stations', '4'], '--plan'],
  ['no such machine', ['enter', 'nothing.toml'], 'cannot read nothing.toml'],
  ['no such folder', ['enter', MACHINE, '--out', 'no/where.csv'], 'no such file or folder'],
  ['a folder', ['enter', MACHINE, '--out', 'fixtures'], 'it is a folder'],
  ['a file that is no sheet', ['enter', MACHINE, '--out', 'package.json'], 'package.json'],
  ['a plan that is none', ['enter', MACHINE, '--out', '/tmp/no.csv', '--plan', MACHINE], MACHINE],
])('%s is refused with exit code 2, and nothing is written', (_, line, words) => {
  const run = proofboard(line, { input: '20.01\n' });
  expect(run).toMatchObject({ code: 2, stdout: '' });
  expect(run.stderr).toContain(words);
  expect(run.stderr).not.toMatch(/at .*\.js/);
  expect(existsSync('readings.csv')).toBe(false);
  expect(existsSync('/tmp/no.csv')).toBe(false);
});

test('--force begins anew, and nothing else overwrites a file', () => {
  const folder = temporaryFolder();
  const out = join(folder, 'r.csv');
  begun(out);
  piped(out, ['20.01']);
  expect(piped(out, ['20.02'], ...SMALL, '--force').code).toBe(3);
  expect(thicknessesOf(out).slice(0, 2)).toEqual(['20.02', '']);
  const [foreign] = written(folder, { 'other.csv': 'a letter to somebody\n' });
  expect(piped(foreign!, ['20.01']).code).toBe(2);
  expect(readFileSync(foreign!, 'utf8')).toBe('a letter to somebody\n');
});
