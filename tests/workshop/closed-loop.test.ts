import { beforeAll, describe, expect, it } from 'vitest';
import { analyse } from '../../src/pipeline/analyse.js';
import { type LoopOptions, type LoopStatistics, runLoop, summarise } from './closed-loop.js';

async function throughLibrary(machineToml: string, csv: string) {
  const content = (text: string) => new TextEncoder().encode(text);
  const { result } = await analyse(
    { name: 'machine.toml', content: content(machineToml) },
    [{ name: 'boards.csv', content: content(csv) }],
    { date: new Date(0) },
  );
  return result;
}

/** Three tries with noise of their own, the smallest written down. */
const LOOP: LoopOptions = {
  machines: 400,
  seed: 20_000,
  knives: [2, 3, 4, 5, 6],
  hand: 'narrow strips',
  rounds: 4,
  caliper: { noisePerTry: true },
};

/** The smallest of three has all of the noise: a third more of it in every reading. */
const NOISIER = { caliper: { noisePerTry: false }, machines: 100 };

/** medianU: what U, mm, may be in the median. */
describe.each([
  { name: 'five narrow strips', loop: LOOP, medianU: 0.008 },
  { name: 'five narrow strips, noisier', loop: { ...LOOP, ...NOISIER }, medianU: 0.009 },
  {
    name: 'one wide board, noisier',
    loop: { ...LOOP, ...NOISIER, hand: 'wide board' as const },
    medianU: 0.009,
  },
])('the closed loop, $name', ({ loop, medianU }) => {
  let found: LoopStatistics;
  beforeAll(async () => {
    found = summarise(await runLoop(throughLibrary, loop));
  }, 600_000);

  it('tells every end of every machine, unless more than a fifth of a board was misread', () => {
    expect(found.machines).toBe(loop.machines);
    expect(found.withheld).toEqual(found.misreadBoards);
  });

  it('brings at least 99 % of the machines within 0.05 mm by one adjustment', () => {
    expect(found.insideAfter).toBeGreaterThanOrEqual(0.99);
  });

  it('covers the truth by U in 93 to 98.5 % of the ends, with U small in the median', () => {
    expect(found.coverage).toBeGreaterThanOrEqual(0.93);
    expect(found.coverage).toBeLessThanOrEqual(0.985);
    expect(found.medianU).toBeLessThanOrEqual(medianU);
  });

  it('decides at least 80 % of the ends, at most 1 % of them wrongly', () => {
    expect(found.decided).toBeGreaterThanOrEqual(0.8);
    expect(found.wrong).toBeLessThanOrEqual(0.01);
    expect(found.wrongTilts).toBeLessThanOrEqual(0.01);
  });

  it('finds at least 97 % of the misreads and sets aside at most 0.2 % of the good readings', () => {
    expect(found.misreads).toBeGreaterThan(50);
    expect(found.misreadsFound).toBeGreaterThanOrEqual(0.97);
    expect(found.goodSetAside).toBeLessThanOrEqual(0.002);
  });
});
