import { spawn } from 'node:child_process';
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { seeded } from '../workshop/random.js';
import { begun, measuredFor, PLACES, thicknessesOf } from './enter-shop.js';
import { MACHINE, proofboard, root, temporaryFolder } from './program.js';
import { terminal } from './terminal.js';

/** How many prompts have been shown: the readings before the last of them are accepted. */
function prompted(shown: string): number {
  const numbers = [...shown.matchAll(/\[(\d+)\/\d+\] H\d, knife/g)].map((match) =>
    Number(match[1]),
  );
  return Math.max(0, ...numbers);
}

/** After a kill the file is whole, and holds every accepted reading and none that was not typed. */
function expectKept(out: string, typed: readonly string[], accepted: number): number {
  const there = thicknessesOf(out);
  expect(there).toHaveLength(PLACES);
  const count = there.filter((text) => text !== '').length;
  expect(count).toBeGreaterThanOrEqual(accepted);
  expect(there).toEqual(typed.map((text, i) => (i < count ? text : '')));
  return count;
}

test('killed after any byte that is typed, every accepted reading is there, and it goes on', async () => {
  const folder = temporaryFolder();
  const out = join(folder, 'readings.csv');
  begun(out);
  const { readings } = measuredFor(out, 5);
  const random = seeded(11);
  let count = 0;
  for (let round = 0; round < 40 && count < PLACES - 2; round++) {
    const session = terminal(['enter', MACHINE, '--out', out]);
    await session.waitFor(`[${count + 1}/${PLACES}]`);
    // Some whole readings, and the next one broken off after any of its bytes.
    const whole = Math.min(Math.floor(random.uniform() * 3), PLACES - 2 - count);
    for (let i = 0; i < whole; i++) {
      session.enter(readings[count + i]!);
      if (random.uniform() < 0.5) await session.waitFor(`[${count + i + 2}/${PLACES}]`);
    }
    const bytes = Math.floor(random.uniform() * 7);
    session.type(`${readings[count + whole]!}\r`.slice(0, bytes));
    session.kill('SIGKILL');
    await session.ended();
    const accepted = Math.max(count, prompted(session.shown()) - 1);
    count = expectKept(out, readings, accepted);
  }
  expect(count).toBeGreaterThan(10);
  expect(proofboard(['read', MACHINE, out]).code).toBe(0);
  const last = proofboard(['enter', MACHINE, '--out', out], {
    input: readings.slice(count).join('\n'),
  });
  expect(last.code).toBe(0);
  expect(thicknessesOf(out)).toEqual(readings);
  // Nothing that the killed ones left lies about.
  expect(readdirSync(folder)).toEqual(['readings.csv']);
});

/** Pours lines into `enter` and kills it after some milliseconds. */
async function killedAfter(out: string, lines: readonly string[], delay: number): Promise<string> {
  const child = spawn(
    process.execPath,
    [join(root, 'dist/proofboard.js'), 'enter', MACHINE, '--out', out],
    { cwd: root, stdio: ['pipe', 'pipe', 'ignore'] },
  );
  let shown = '';
  const ended = new Promise((resolve) => child.on('close', resolve));
  // Counted from where it is at work, however busy the machine.
  const began = new Promise<void>((resolve) => {
    child.stdout.on('data', (data) => {
      shown += data;
      resolve();
    });
  });
  child.stdin.on('error', () => {});
  child.stdin.write(lines.map((line) => `${line}\n`).join(''));
  await Promise.race([began, ended]);
  await new Promise((resolve) => setTimeout(resolve, delay));
  child.kill('SIGKILL');
  await ended;
  return shown;
}

test('killed at any moment while lines pour in, every accepted reading is there', async () => {
  const random = seeded(23);
  const folder = temporaryFolder();
  const [out, blank] = [join(folder, 'r.csv'), join(folder, 'blank.csv')];
  begun(blank);
  const { readings } = measuredFor(blank, 5);
  begun(out);
  const counts: number[] = [];
  let count = 0;
  for (let round = 0; round < 40; round++) {
    const shown = await killedAfter(out, readings.slice(count), random.uniform() * 60);
    const accepted = Math.max(count, prompted(shown) - 1);
    count = expectKept(out, readings, accepted);
    counts.push(count);
    if (count < PLACES) continue;
    proofboard([
      'enter',
      MACHINE,
      '--out',
      out,
      '--force',
      '--stations',
      '4',
      '--repeats',
      '2',
      '--cuts',
      'hand',
    ]);
    count = 0;
  }
  // It was killed in many different places, not before the first nor after the last of them.
  expect(new Set(counts).size).toBeGreaterThan(5);
  expect(proofboard(['enter', MACHINE, '--out', out]).code).toBe(count < PLACES ? 3 : 0);
  expect(readdirSync(folder).sort()).toEqual(['blank.csv', 'r.csv']);
});

test('killed while a new file is begun, there is none or a whole one', async () => {
  const random = seeded(31);
  for (let round = 0; round < 12; round++) {
    const out = join(temporaryFolder(), 'r.csv');
    const session = terminal(['enter', MACHINE, '--out', out]);
    await new Promise((resolve) => setTimeout(resolve, random.uniform() * 500));
    session.kill('SIGKILL');
    await session.ended();
    if (!existsSync(out)) continue;
    expect(readFileSync(out, 'utf8')).toMatch(/\n$/);
    expect(proofboard(['enter', MACHINE, '--out', out]).code).toBe(3);
  }
});
