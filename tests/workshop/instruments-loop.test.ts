import { beforeAll, describe, expect, it } from 'vitest';
import {
  type InstrumentsOptions,
  type InstrumentsRecord,
  type InstrumentsStatistics,
  medianRatioOfU,
  runInstrumentsLoop,
  shareNoticed,
  summariseInstruments,
} from './instruments-loop.js';
import { analyseOfLibrary } from './library.js';

const LOOP: InstrumentsOptions = {
  machines: 120,
  seed: 60_000,
  knives: [2, 3, 4],
  instruments: ['boards'],
};

/** Codes under which it is said that instruments contradict each other, and that anything does. */
const CONTRADICTION = ['instruments-disagree'];
const BLAME = [...CONTRADICTION, 'boards-disagree', 'marks-contradict-heights'];

const LONG = 120_000;

function run(options: Partial<InstrumentsOptions>): Promise<InstrumentsRecord[]> {
  return runInstrumentsLoop(analyseOfLibrary, { ...LOOP, ...options });
}

describe('thickness with knife marks', () => {
  /** Slender ends and no bow: every knife shows all along the block. */
  const showing: Partial<InstrumentsOptions> = {
    machines: 120,
    knives: [3],
    shop: { radius: 48, speed: 4000, feedSpeed: 16_000 },
    spread: { ends: 0.005, bow: 0.0005 },
    within: 0.013,
  };
  let alone: InstrumentsRecord[];
  let joint: InstrumentsRecord[];
  beforeAll(async () => {
    alone = await run(showing);
    joint = await run({ ...showing, instruments: ['boards', 'marks'] });
  }, LONG);

  it('brings U of the knife ends down to a fifth or less', () => {
    expect(summariseInstruments(joint).told).toBe(1);
    expect(medianRatioOfU(joint, alone)).toBeLessThanOrEqual(0.2);
  });

  it('keeps coverage, and blames no instrument', () => {
    expect(summariseInstruments(joint).coverage).toBeGreaterThanOrEqual(0.93);
    expect(shareNoticed(joint, BLAME)).toBeLessThanOrEqual(0.02);
  });
});

/** Boards alone, of the same machines as everything below. */
let boards: InstrumentsRecord[];
beforeAll(async () => {
  boards = await run({});
}, LONG);

describe.each([
  { name: 'gauge', instrument: 'gauge' as const },
  { name: 'carry', instrument: 'carry' as const },
])('boards and $name together', ({ instrument }) => {
  let other: InstrumentsRecord[];
  let joint: InstrumentsRecord[];
  let said: InstrumentsStatistics;
  beforeAll(async () => {
    other = await run({ instruments: [instrument] });
    joint = await run({ instruments: ['boards', instrument] });
    said = summariseInstruments(joint);
  }, LONG);

  it('tell every end more narrowly than either alone', () => {
    expect(said.told).toBe(1);
    expect(medianRatioOfU(joint, boards)).toBeLessThan(0.95);
    expect(medianRatioOfU(joint, other)).toBeLessThan(0.95);
    expect(said.rmsError).toBeLessThan(summariseInstruments(boards).rmsError);
    expect(said.rmsError).toBeLessThan(summariseInstruments(other).rmsError);
  });

  it('cover the ends by their U in 93 % or more', () => {
    expect(said.coverage).toBeGreaterThanOrEqual(0.93);
    expect(said.wrongVerdicts).toBeLessThanOrEqual(0.01);
    expect(said.tiltCoverage).toBeGreaterThanOrEqual(0.93);
  });

  it('are blamed in at most 2 % where they agree', () => {
    expect(shareNoticed(joint, BLAME)).toBeLessThanOrEqual(0.02);
  });

  it.each([`${instrument} off by 0.1`, 'labels exchanged'] as const)(
    'are found to contradict each other: %s',
    { timeout: LONG },
    async (contradiction) => {
      const contrary = await run({
        instruments: ['boards', instrument],
        machines: 100,
        contradiction,
      });
      expect(shareNoticed(contrary, CONTRADICTION)).toBeGreaterThanOrEqual(0.95);
    },
  );
});

describe('all instruments together', () => {
  it('cover the ends, and beat any of them', { timeout: LONG }, async () => {
    const options = { machines: 80, indicator: { body: true, zeros: 'each x' } } as const;
    const all = await run({ ...options, instruments: ['boards', 'gauge', 'carry'] });
    const said = summariseInstruments(all);
    expect(said.told).toBe(1);
    expect(said.coverage).toBeGreaterThanOrEqual(0.93);
    expect(medianRatioOfU(all, boards)).toBeLessThan(0.8);
    expect(shareNoticed(all, BLAME)).toBeLessThanOrEqual(0.02);
  });
});
