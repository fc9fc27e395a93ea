import { describe, expect, it } from 'vitest';
import { readMachine } from '../../src/machine/read-machine.js';
import { countedPlaces, foretell } from '../../src/pipeline/foretell.js';
import type { PlannedBoard } from '../../src/record/plan.js';
import { type MachineWords, machineFile, planFor, resultOf, source } from '../plan/jobs.js';
import { placesAsPlanned } from '../workshop/plan-loop.js';

const KNOWN = { instrument: 'resolution = 0.01\nmax_error = 0.02\nreading_sd = 0.008' };

/** How knives stand, mm: the first leads everywhere by far. */
const HEIGHTS = [
  [1, 1],
  [0.02, -0.04],
  [-0.05, 0.03],
  [0.01, 0.02],
] as const;

/** Readings without any noise at the places of boards. */
function exactReadings(boards: readonly PlannedBoard[], knives: readonly string[]): string {
  const settings = new Map(boards.map(({ board, setting }) => [board, setting ?? '']));
  const rows = placesAsPlanned({ boards }).map(({ board, knife, x, y }) => {
    const [front, back] = HEIGHTS[knife === 'all' ? 0 : knives.indexOf(knife)]!;
    const share = (x - 40) / 440;
    const gap = settings.get(board) === '' ? 20 : 21.5;
    const thickness = gap + 0.03 * share - (front + (back - front) * share);
    return [board, knife, x, y, thickness.toFixed(9), settings.get(board)].join(',');
  });
  return `${['board,knife,x,y,thickness,setting', ...rows].join('\n')}\n`;
}

async function bench(words: MachineWords = {}) {
  const text = machineFile({ ...KNOWN, ...words });
  const { machine } = await readMachine(source('machine.toml', text));
  return { text, machine: machine! };
}

describe('with a known reading, what is foretold is what is found', () => {
  it.each([
    { name: 'hand alone', options: { cuts: ['hand'] } as const, words: {} },
    { name: 'hand and full', options: {}, words: {} },
    { name: 'hand, full, and one wide board', options: {}, words: { repeatability: '0.03' } },
    { name: 'a lock of unknown worth', options: {}, words: { repeatability: '"unknown"' } },
    { name: 'two stations once', options: { stations: 2, repeats: 1 }, words: {} },
    { name: 'nine stations, five rounds', options: { stations: 9, repeats: 5 }, words: {} },
  ])('$name', async ({ options, words }) => {
    const { text, machine } = await bench(words);
    const plan = await planFor(text, options);
    const result = await resultOf(text, [exactReadings(plan.boards, machine.block.knives)]);
    expect(result.readings.used).toBe(plan.readings);
    const widest = Math.max(...result.knives.flatMap(({ ends }) => ends.map(({ U }) => U!)));
    expect(plan.expected.knifeEndU! / widest).toBeCloseTo(1, 6);
    expect(plan.expected.bedTiltU! / result.bed.U!).toBeCloseTo(1, 6);
    expect(plan.expected.taperU! / result.board.U!).toBeCloseTo(1, 6);
  });

  it('every end by itself, on boards of two settings and by only some knives', async () => {
    const { text, machine } = await bench();
    const { boards } = await planFor(text, { stations: 5, repeats: 2, cuts: ['hand'] });
    const moved = boards.map((board, i) => ({
      ...board,
      ...(i > 2 ? { setting: 'later' } : {}),
      knives: i % 2 === 0 ? board.knives : board.knives.slice(1),
    }));
    const { standing } = foretell(machine, countedPlaces(moved));
    const result = await resultOf(text, [exactReadings(moved, machine.block.knives)]);
    result.knives.forEach(({ ends }, knife) => {
      ends.forEach(({ U }, end) => {
        expect(standing.offsets[knife]![end as 0 | 1]!.U / U!).toBeCloseTo(1, 6);
      });
    });
    expect(standing.tilt!.U / result.bed.U!).toBeCloseTo(1, 6);
  });

  it('and what is foretold to stay open stays open', async () => {
    const { text, machine } = await bench();
    for (const options of [{ stations: 1, repeats: 3 }, { cuts: ['full'] as const }]) {
      const plan = await planFor(text, options);
      const result = await resultOf(text, [exactReadings(plan.boards, machine.block.knives)]);
      expect(plan.expected.knifeEndU).toBeNull();
      expect(plan.undetermined).toEqual(result.fit.undetermined);
      expect(plan.undetermined.length).toBeGreaterThan(0);
    }
  });
});

describe('what each place contributes', () => {
  it('is what the plan would foretell without that knife’s readings there', async () => {
    const { text, machine } = await bench({ instrument: 'resolution = 0.01\nmax_error = 0.02' });
    const plan = await planFor(text, { explain: true });
    expect(plan.explain!.length).toBe(plan.boards.length);
    for (const { board, x, knives, readings, without } of plan.explain!) {
      const rest = plan.boards.map((each) =>
        each.board === board ? { ...each, knives: each.knives.slice(1) } : each,
      );
      const it = plan.boards.find((each) => each.board === board)!;
      expect({ x: [x], knives, readings }).toEqual({
        x: it.x,
        knives: it.knives,
        readings: it.y.length,
      });
      const { standing } = foretell(machine, countedPlaces(rest));
      const widest = Math.max(...standing.offsets.flat().map((end) => end!.U));
      expect(without.knifeEndU).toBeCloseTo(widest, 12);
      expect(without.bedTiltU).toBeCloseTo(standing.tilt!.U, 12);
    }
  });

  it('never narrows anything by being left out', async () => {
    for (const words of [{}, { repeatability: '0.03' }, KNOWN]) {
      const { explain, expected } = await planFor(machineFile(words), { explain: true });
      for (const { without } of explain!) {
        expect(without.knifeEndU!).toBeGreaterThanOrEqual(expected.knifeEndU! * (1 - 1e-9));
        expect(without.bedTiltU!).toBeGreaterThanOrEqual(expected.bedTiltU! * (1 - 1e-9));
        expect(without.taperU!).toBeGreaterThanOrEqual(expected.taperU! * (1 - 1e-9));
      }
    }
  });

  it('is said of every place of a wide board, and lost where a knife hangs on it', async () => {
    const wide = await planFor(machineFile({ repeatability: '0.03' }), { explain: true });
    expect(wide.explain!.filter(({ board }) => board === 'F3').map(({ x }) => x)).toEqual([
      40, 260, 480,
    ]);
    const two = await planFor(machineFile(), { stations: 2, repeats: 2, explain: true });
    const strips = two.explain!.filter(({ board }) => board.startsWith('H'));
    expect(strips.map(({ without }) => without.knifeEndU)).toEqual([null, null]);
  });
});

describe('the chance of a clear verdict', () => {
  it('is that of an end which may stand anywhere within twice its tolerance', async () => {
    const { text } = await bench();
    const { expected } = await planFor(text);
    // A normal u: undecided from 1.645 u within the limit to 1.645 u beyond it.
    const u = expected.knifeEndU! / 1.959964;
    expect(expected.clearVerdict).toBeCloseTo(1 - (2 * 1.644854 * u) / 0.1, 3);
  });

  it('is none where the U is larger than the tolerance', async () => {
    const coarse = machineFile({ instrument: 'resolution = 1\nmax_error = 1' });
    expect((await planFor(coarse)).expected.clearVerdict).toBe(0);
  });
});
