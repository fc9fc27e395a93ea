import { describe, expect, it } from 'vitest';
import { marksOfLibrary } from './library.js';
import type { Loupe } from './loupe.js';
import {
  type MarksLoopOptions,
  type MarksStatistics,
  runMarksLoop,
  summariseMarks,
} from './marks-loop.js';

/** Three knives within 0.015 mm, 4 mm a revolution, radius 48, ten revolutions, ridges to 0.05 mm. */
const LOOP: MarksLoopOptions = {
  machines: 160,
  seed: 40_000,
  knives: 3,
  range: 0.015,
  stations: [40, 260],
};

/** Knives far enough apart for some to hide. */
const HIDING: MarksLoopOptions = { ...LOOP, seed: 50_000, range: 0.06 };

const NO_LABELS: Partial<Loupe> = { labels: 'none' };

/** Unlabelled marks after test boards were measured with calipers. */
const WITH_CALIPERS: Partial<MarksLoopOptions> = {
  machines: 150,
  stations: [40, 260, 480],
  withResult: true,
  loupe: NO_LABELS,
};

const LONG = 60_000;

async function found(options: MarksLoopOptions): Promise<MarksStatistics> {
  return summariseMarks(await runMarksLoop(marksOfLibrary, options));
}

/** Whether offsets that were given are as good as they say. */
function expectHonest(loop: MarksStatistics) {
  expect(loop.coverage).toBeGreaterThanOrEqual(0.93);
  expect(loop.coverage).toBeLessThanOrEqual(0.985);
  expect(loop.wrong).toBeLessThanOrEqual(0.01);
}

describe('labelled marks', () => {
  it.each<{ name: string; mostUncertain?: number } & Partial<MarksLoopOptions>>([
    { name: 'three knives' },
    { name: 'two knives', knives: 2, range: 0.03, mostUncertain: 0.00035 },
    { name: 'four knives', knives: 4, range: 0.008 },
    { name: 'knives unequally spaced', unequal: 8, range: 0.01 },
    { name: 'two boards', boards: 2, machines: 120 },
    { name: 'some labels only', loupe: { labels: 'some' } },
    { name: 'misses and doubles', loupe: { missRate: 0.05, doubleRate: 0.03 } },
    { name: 'a growing feed', uneven: { drift: 0.001 } },
    { name: 'a wavering feed', uneven: { waver: 0.005 } },
  ])(
    'tell heights to a third of a micrometre: $name',
    { timeout: LONG },
    async ({ mostUncertain = 0.0003, ...options }) => {
      const loop = await found({ ...LOOP, ...options });
      expect(loop.silent + loop.ambiguous).toBeLessThanOrEqual(0.01);
      expect(loop.showingRight).toBeGreaterThanOrEqual(0.99);
      expect(loop.medianU / 2).toBeLessThanOrEqual(0.0003);
      expect(loop.mostUncertain).toBeLessThanOrEqual(mostUncertain);
      expectHonest(loop);
    },
  );

  // Rounding repeats itself where a revolution is a whole number of its steps: no number of
  // revolutions averages it away, and ridges that all fall alike don't scatter at all.
  it.each([
    { name: 'at any feed', feedOffSd: 0.02 },
    { name: 'at a feed that is a whole number of steps', feedOffSd: 0 },
  ])(
    'tell as much where all that blurs them is rounding to 0.05 mm, $name',
    {
      timeout: LONG,
    },
    async ({ feedOffSd }) => {
      const loop = await found({ ...LOOP, feedOffSd, loupe: { noiseSd: 0, resolution: 0.05 } });
      expect(loop.coverage).toBeGreaterThanOrEqual(0.93);
      expect(loop.wrong).toBeLessThanOrEqual(0.01);
      expect(loop.medianU / 2).toBeLessThanOrEqual(0.0003);
    },
  );

  it('survive a slipping board: it costs certainty, never truth', { timeout: LONG }, async () => {
    const loop = await found({ ...LOOP, uneven: { slip: { at: 5.3, by: 0.5 } } });
    expect(loop.coverage).toBeGreaterThanOrEqual(0.93);
    expect(loop.wrong).toBeLessThanOrEqual(0.01);
  });

  // A misread that lands beside a neighbour leaves two ways to read the labels, and none is taken.
  it('have their misread and doubled ridges found, the good ones kept', {
    timeout: LONG,
  }, async () => {
    const loop = await found({ ...LOOP, loupe: { misreads: 1, doubleRate: 0.03 } });
    expect(loop.silent + loop.ambiguous).toBeLessThanOrEqual(0.05);
    expectHonest(loop);
    expect(loop.wrongRows).toBeGreaterThan(350);
    expect(loop.wrongRowsFound).toBeGreaterThanOrEqual(0.95);
    expect(loop.goodRowsSetAside).toBeLessThanOrEqual(0.005);
  });

  it('that run backwards are an error', { timeout: LONG }, async () => {
    const loop = await found({ ...LOOP, machines: 100, loupe: { labels: 'backwards' } });
    expect(loop.withErrors).toBe(1);
    expect(loop.offsets).toBe(0);
  });

  it('are right in spite of one wrong label, or say that something is wrong', {
    timeout: LONG,
  }, async () => {
    const loop = await found({ ...LOOP, machines: 100, loupe: { labels: 'one wrong' } });
    expect(loop.wrong).toBeLessThanOrEqual(0.01);
  });
});

describe('knives that leave no mark', () => {
  it.each<{ name: string } & Partial<MarksLoopOptions>>([
    { name: 'three knives' },
    { name: 'two knives', knives: 2, range: 0.12 },
    { name: 'four knives', knives: 4, range: 0.04 },
    { name: 'knives unequally spaced', unequal: 8 },
    { name: 'every mark seen, however narrow', loupe: { narrowest: 0 } },
  ])('get no height but a limit that holds: $name', { timeout: LONG }, async (options) => {
    const loop = await found({ ...HIDING, ...options });
    expect(loop.hidden).toBeGreaterThan(90);
    expect(loop.hiddenWithHeight).toBe(0);
    expect(loop.withoutLimit).toBe(0);
    expect(loop.limitsTrue).toBeGreaterThanOrEqual(0.95);
    expect(loop.limitsNear).toBe(1);
    expect(loop.coverage).toBeGreaterThanOrEqual(0.93);
    expect(loop.wrong).toBeLessThanOrEqual(0.01);
    expect(loop.silent + loop.ambiguous).toBeLessThanOrEqual(0.01);
  });
});

describe('marks without labels', () => {
  it.each([
    { name: 'all knives showing', loop: LOOP },
    { name: 'some hidden', loop: HIDING },
  ])('are ambiguous and get no offsets: $name', { timeout: LONG }, async ({ loop: options }) => {
    const loop = await found({ ...options, machines: 100, loupe: NO_LABELS });
    expect(loop.ambiguous).toBe(1);
    expect(loop.offsets + loop.limits).toBe(0);
  });

  it.each([
    { name: 'knives reaching to both ends of 0.015 mm', loop: { ...LOOP, spanning: true } },
    { name: 'some hidden', loop: HIDING },
  ])(
    'are settled in half of the cases by what calipers said, and rarely wrongly: $name',
    {
      timeout: LONG,
    },
    async ({ loop: options }) => {
      const loop = await found({ ...options, withResult: true, loupe: NO_LABELS });
      expect(loop.ambiguous + loop.silent).toBeLessThanOrEqual(0.5);
      expect(loop.wrong).toBeLessThanOrEqual(0.01);
    },
  );

  it('stay ambiguous rather than be settled wrongly where knives stand closer', {
    timeout: LONG,
  }, async () => {
    const loop = await found({ ...LOOP, ...WITH_CALIPERS, machines: 60 });
    expect(loop.wrong).toBeLessThanOrEqual(0.01);
  });
});
