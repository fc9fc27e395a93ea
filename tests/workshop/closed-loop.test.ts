import { beforeAll, describe, expect, it } from 'vitest';
import { analyse } from '../../src/pipeline/analyse.js';
import { type LoopOptions, type LoopStatistics, runLoop, summarise } from './closed-loop.js';

async function throughLibrary(machineToml: string, csv: string) {
  const content = (text: string) => new TextEncoder().encode(text);
  const { result } = await analyse({ name: 'machine.toml', content: content(machineToml) }, [
    { name: 'boards.csv', content: content(csv) },
  ]);
  return result;
}

const LOOP: LoopOptions = {
  machines: 400,
  seed: 20_000,
  knives: [2, 3, 4, 5, 6],
  hand: 'narrow strips',
  rounds: 4,
};

/** One run of every loop: what they share in promises is asked of each. */
describe.each([
  ['five narrow strips', LOOP],
  ['one wide board', { ...LOOP, hand: 'wide board', machines: 100, seed: 30_000 }],
  ['noise on every try', { ...LOOP, caliper: { noisePerTry: true }, machines: 100, seed: 40_000 }],
] as const satisfies readonly (readonly [string, LoopOptions])[])(
  'the closed loop, %s',
  (_, loop) => {
    let found: LoopStatistics;
    beforeAll(async () => {
      found = summarise(await runLoop(throughLibrary, loop));
    }, 600_000);

    it('has a result for every machine, with every end in it', () => {
      expect(found.withoutResult).toEqual([]);
      expect(found.reported).toBe(1);
    });

    it('brings at least 99 % of the machines within 0.05 mm by one adjustment', () => {
      expect(found.insideAfter).toBeGreaterThanOrEqual(0.99);
    });

    it('covers the truth by U in 93 to 98.5 % of the ends, with U at most 8 µm in the median', () => {
      expect(found.coverage).toBeGreaterThanOrEqual(0.93);
      expect(found.coverage).toBeLessThanOrEqual(0.985);
      expect(found.medianU).toBeLessThanOrEqual(0.008);
    });

    it('decides at least 80 % of the ends, at most 1 % of them wrongly', () => {
      expect(found.decided).toBeGreaterThanOrEqual(0.8);
      expect(found.wrong).toBeLessThanOrEqual(0.01);
    });

    it('finds at least 97 % of the misreads and sets aside at most 0.2 % of the good readings', () => {
      expect(found.misreads).toBeGreaterThan(50);
      expect(found.misreadsFound).toBeGreaterThanOrEqual(0.97);
      expect(found.goodSetAside).toBeLessThanOrEqual(0.002);
    });
  },
);
