import { beforeAll, describe, expect, it, vi } from 'vitest';
import type { Planned } from '../../src/pipeline/plan.js';
import { understand } from '../../src/pipeline/understand.js';
import type { Plan } from '../../src/record/plan.js';
import { NO_PAINT } from '../../src/report/paint.js';
import { planText } from '../../src/report/text/plan-text.js';
import { type Heeded, planFaults } from '../plan/contract.js';
import {
  codesOf,
  type MachineWords,
  machineFile,
  numbered,
  planFor,
  planned,
  source,
} from '../plan/jobs.js';
import { placesAsPlanned } from '../workshop/plan-loop.js';

/** Two dozen knives are planned for in seconds, on a machine that may be busy. */
vi.setConfig({ testTimeout: 60_000, hookTimeout: 60_000 });

const INCHES = {
  unit: 'in',
  diameter: 2.5,
  length: 6.125,
  at: [0.5, 5.5],
  repeatability: '0.0002',
  knifeTolerance: 0.002,
  bedTolerance: 0.004,
  instrument: 'resolution = 0.0005\nmax_error = 0.001',
};

const MACHINES: readonly (MachineWords & { readonly name: string; readonly reach?: number })[] = [
  { name: 'the bench machine' },
  { name: 'one knife', knives: ['1'] },
  { name: 'two knives', knives: numbered(2) },
  { name: 'three', knives: numbered(3) },
  { name: 'six', knives: numbered(6) },
  { name: 'twelve', knives: numbered(12) },
  { name: 'twenty-four', knives: numbered(24) },
  { name: 'knives of long names', knives: ['the red one', 'the blue one', 'the one with a nick'] },
  {
    name: 'calipers that reach 10 mm',
    instrument: 'resolution = 0.01\nmax_error = 0.02\nreach = 10',
    reach: 10,
  },
  { name: 'a lock of unknown worth', repeatability: '"unknown"' },
  { name: 'a loose lock', repeatability: '0.03' },
  {
    name: 'a known reading',
    instrument: 'resolution = 0.01\nmax_error = 0.02\nreading_sd = 0.008',
  },
  { name: 'coarse calipers', instrument: 'resolution = 0.1\nmax_error = 0.1' },
  { name: 'a very short span', length: 60, at: [15, 45] },
  { name: 'a block narrower than a strip', length: 30, at: [10, 20] },
  { name: 'a block with few places', length: 240, at: [30, 210] },
  { name: 'a very long one', length: 1600, at: [50, 1550] },
  { name: 'adjusters at the block’s ends', at: [0, 520] },
  { name: 'adjusters at one side', at: [10, 100] },
  { name: 'three adjusters', at: [40, 260, 480] },
  { name: 'shims', adjusters: 'kind = "shim"\nstock = [0.02, 0.05]' },
  { name: 'uneven angles', knives: numbered(3), block: 'angles = [0, 100, 250]' },
  { name: 'no feed', feed: '' },
  { name: 'a large block', diameter: 300 },
  { name: 'inches', ...INCHES },
  { name: 'long inches', ...INCHES, length: 24, at: [1.5, 22.5] },
];

function heeded({
  knives = numbered(4),
  diameter = 120,
  length = 520,
  unit,
  reach,
}: (typeof MACHINES)[number]): Heeded {
  const mm = unit === 'in' ? 25.4 : 1;
  return {
    knives,
    diameter: diameter * mm,
    length: length * mm,
    ...(reach === undefined ? {} : { reach }),
  };
}

/** The places of a plan as they are written down once measured. */
function csvOf({ boards }: Plan): string {
  const rows = placesAsPlanned({ boards }).map(({ board, knife, x, y }) =>
    [board, knife, x, y, 20].join(','),
  );
  return `${['board,knife,x (mm),y (mm),thickness (mm)', ...rows].join('\n')}\n`;
}

describe.each(MACHINES)('$name', (words) => {
  const machine = machineFile(words);
  let made: Planned;
  const plan = () => made.plan!;
  beforeAll(async () => {
    made = await planned(machine, { explain: true });
  });

  it('keeps every promise of a plan, by chance and by explanation', () => {
    expect(planFaults(plan(), heeded(words))).toEqual([]);
  });

  it('has at least four stations and two rounds, the order reversed in every round', () => {
    const hand = plan().boards.filter(({ cut }) => cut === 'hand');
    const isAlone = (words.knives ?? []).length === 1;
    const stations = new Set(hand.map(({ x }) => x[0]));
    expect(stations.size).toBeGreaterThanOrEqual(isAlone ? 0 : 4);
    for (const x of stations) {
      // Knives in the order in which they are cut at that station, over all its strips.
      const order = placesAsPlanned({ boards: hand.filter((board) => board.x[0] === x) });
      const ids = words.knives ?? numbered(4);
      const rounds = Array.from({ length: order.length / ids.length }, (_, i) =>
        order.slice(i * ids.length, (i + 1) * ids.length).map(({ knife }) => knife),
      );
      expect(rounds.length).toBeGreaterThanOrEqual(2);
      rounds.forEach((round, i) => {
        expect(round).toEqual(i % 2 === 0 ? [...ids] : [...ids].reverse());
      });
    }
  });

  it('plans nothing that the reader of readings refuses', async () => {
    const { readings, notices } = await understand(source('machine.toml', machine), [
      source('boards.csv', csvOf(plan())),
    ]);
    expect(notices.filter(({ severity }) => severity === 'error')).toEqual([]);
    expect(readings.length).toBe(plan().readings);
  });

  it('says it within 80 columns, without a figure that is none', () => {
    for (const unit of ['mm', 'in'] as const) {
      const text = planText(plan(), made.machine!, { unit, machineFile: 'm.toml' }, NO_PAINT);
      expect(text.split('\n').filter((line) => line.length > 80)).toEqual([]);
      expect(text.match(/\b(NaN|null|undefined|Infinity)\b|\[object/g) ?? []).toEqual([]);
    }
  });

  it('takes as many stations and rounds as are fixed', async () => {
    if ((words.knives ?? []).length === 1) return;
    for (const [stations, repeats] of [
      [1, 1],
      [5, 4],
      [24, 2],
    ] as const) {
      const plan = await planFor(machine, { stations, repeats });
      const hand = plan.boards.filter(({ cut }) => cut === 'hand');
      const rounds = new Map<number, number>();
      for (const { x, y } of hand) rounds.set(x[0]!, (rounds.get(x[0]!) ?? 0) + y.length);
      expect([...rounds.values()]).toEqual(Array.from({ length: stations }, () => repeats));
      expect(planFaults(plan, heeded(words))).toEqual([]);
    }
  });
});

describe('what is chosen', () => {
  it('reaches a quarter of the tolerance, and as many readings as make the noise known', async () => {
    for (const words of [{}, { knives: numbered(2) }, { knives: numbered(6) }, INCHES]) {
      const { expected, readings, notices } = await planFor(machineFile(words));
      const mm = words === INCHES ? 25.4 * 0.002 : 0.05;
      expect(expected.knifeEndU!).toBeLessThanOrEqual(mm / 4);
      expect(expected.bedTiltU!).toBeLessThanOrEqual(mm / 2);
      expect(readings).toBeGreaterThanOrEqual(69);
      expect(notices.map(({ code }) => code)).not.toContain('wanted-not-reached');
    }
  });

  it('is far less where the noise is known already', async () => {
    const known = machineFile({
      instrument: 'resolution = 0.01\nmax_error = 0.02\nreading_sd = 0.008',
    });
    const [guessed, sure] = [await planFor(machineFile()), await planFor(known)];
    expect(sure.readings).toBeLessThan(guessed.readings / 2);
    expect(sure.expected.knifeEndU!).toBeLessThanOrEqual(0.0125);
  });

  it('takes a wide board only where the lock leaves the tilt too open', async () => {
    const wide = (plan: Plan) => plan.boards.some(({ cut, x }) => cut === 'full' && x.length > 1);
    expect(wide(await planFor(machineFile()))).toBe(false);
    const loose = await planFor(machineFile({ repeatability: '0.03' }));
    expect(wide(loose)).toBe(true);
    expect(loose.expected.bedTiltU!).toBeLessThanOrEqual(0.025);
    const barred = await planFor(machineFile({ repeatability: '0.03' }), { cuts: ['hand'] });
    expect(codesOf(barred)).toContain('wanted-not-reached');
    expect(barred.notices.find(({ code }) => code === 'wanted-not-reached')!.hint).toMatch(/full/);
  });

  it('comes within seconds for twenty-four knives', async () => {
    const start = performance.now();
    await planFor(machineFile({ knives: numbered(24) }));
    expect(performance.now() - start).toBeLessThan(20_000);
  });

  it('is the same each time', async () => {
    expect(await planFor(machineFile())).toEqual(await planFor(machineFile()));
  });
});

describe('coarse calipers', () => {
  const withSd = (sd: number) =>
    machineFile({ instrument: `resolution = 0.1\nmax_error = 0.1\nreading_sd = ${sd}` });

  it('do not reach what is wanted: said, with an instrument that would, and it does', async () => {
    const plan = await planFor(machineFile({ instrument: 'resolution = 0.1\nmax_error = 0.1' }));
    const told = plan.notices.find(({ code }) => code === 'wanted-not-reached')!;
    expect(told.severity).toBe('warning');
    const good = Number(/good to ([\d.]+) µm/.exec(told.hint!)![1]) / 1000;
    expect(good).toBeGreaterThan(0.01);
    const stations = new Set(plan.boards.filter(({ cut }) => cut === 'hand').map(({ x }) => x[0]));
    const better = await planFor(withSd(good), { stations: stations.size, repeats: 12 });
    expect(better.expected.knifeEndU!).toBeLessThanOrEqual(0.0125);
    expect(codesOf(await planFor(withSd(good)))).not.toContain('wanted-not-reached');
  });
});

describe('what is refused', () => {
  it.each([
    { stations: 0 },
    { stations: 25 },
    { stations: 2.5 },
    { stations: Number.NaN },
    { repeats: 0 },
    { repeats: -3 },
    { repeats: 1e9 },
    { cuts: [] },
    { cuts: ['sawn' as 'hand'] },
  ])('%j', async (options) => {
    const { plan, notices } = await planned(machineFile(), options);
    expect(plan).toBeNull();
    const errors = notices.filter(({ severity }) => severity === 'error');
    expect(errors.length).toBe(1);
    for (const key of ['message', 'found', 'expected', 'hint'] as const) {
      expect(errors[0]![key], key).toBeTruthy();
    }
  });

  it('a machine file with errors, without planning anything', async () => {
    const { plan, machine } = await planned('name = "X"\n');
    expect({ plan, machine }).toEqual({ plan: null, machine: null });
  });
});
