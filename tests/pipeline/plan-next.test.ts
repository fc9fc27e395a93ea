import { describe, expect, it, vi } from 'vitest';
import type { Plan } from '../../src/record/plan.js';
import type { Result } from '../../src/record/result.js';
import { planFaults } from '../plan/contract.js';
import { codesOf, machineFile, numbered, planFor, planned, resultOf } from '../plan/jobs.js';
import { gaugeEdges, gaugeText, USUAL_INDICATOR } from '../workshop/indicator.js';
import { boardsAsPlanned } from '../workshop/plan-loop.js';
import { seeded } from '../workshop/random.js';
import { type Shop, shopWith } from '../workshop/shop.js';

vi.setConfig({ testTimeout: 60_000 });

const BENCH = { knives: numbered(4), diameter: 120, length: 520 };

/** A machine whose knives stand as given, mm from nominal at the front and at the back. */
function shopOf(heights: readonly (readonly [number, number])[], rest: Partial<Shop> = {}): Shop {
  return shopWith(
    heights.map(([front, back], k) => ({
      id: String(k + 1),
      front,
      back,
      bow: 0,
      response: [0, 0] as const,
    })),
    rest,
  );
}

const KNOWN = machineFile({ instrument: 'resolution = 0.01\nmax_error = 0.02\nreading_sd = 0.01' });
const GUESSED = machineFile();

const given = (result: Result) => ({ result: { name: 'result.json', result } });

/** What boards of five stations and three rounds make of a machine; some of them may be left out. */
async function measured(
  shop: Shop,
  machine: string,
  alter: (boards: Plan['boards']) => Plan['boards'] = (boards) => boards,
) {
  const { boards } = await planFor(machine, { stations: 5, repeats: 3 });
  const { csv } = boardsAsPlanned({ boards: alter(boards) }, shop, seeded(7));
  return { csv, result: await resultOf(machine, [csv]) };
}

const onlyHand = (boards: Plan['boards']) => boards.filter(({ cut }) => cut === 'hand');
const onlyFull = (boards: Plan['boards']) => boards.filter(({ cut }) => cut === 'full');

describe('for each move, the reading that could still overturn it', () => {
  // So near its limit that one wrong reading is still a reading, not boards that disagree.
  const shop = shopOf([
    [0.01, 0.072],
    [-0.02, -0.024],
    [0.01, -0.024],
    [0, -0.024],
  ]);

  /** The same readings, one of them changed, and all of them kept whatever they look like. */
  async function changed(csv: string, line: number, by: number) {
    const lines = csv.split('\n');
    const fields = lines[line - 1]!.split(',');
    fields[4] = String(Number(fields[4]) + by);
    lines[line - 1] = fields.join(',');
    const use = lines.slice(1, -1).map((_, i) => ({ file: 'boards-1.csv', line: i + 2 }));
    return resultOf(KNOWN, [lines.join('\n')], { use });
  }

  it('is so far wrong as is said, and then its end is just inside with 95 %', async () => {
    const { csv, result } = await measured(shop, KNOWN, onlyHand);
    const { overturning } = await planFor(KNOWN, given(result));
    expect(overturning!.length).toBeGreaterThan(0);
    for (const { knife, end, line, wrongBy, board, read, x, y, thickness } of overturning!) {
      const row = csv.split('\n')[line - 1]!.split(',');
      expect([board, read, x, y, thickness].map(String)).toEqual([
        ...row.slice(0, 4),
        String(Number(row[4])),
      ]);
      const then = await changed(csv, line, -wrongBy);
      const found = then.knives
        .find(({ id }) => id === knife)!
        .ends.find(({ name }) => name === end)!;
      expect(found.probabilityInside).toBeCloseTo(0.95, 3);
      expect(then.readings.setAside).toEqual([]);
    }
  });

  it('is the only place of which that is true', async () => {
    const { csv, result } = await measured(shop, KNOWN, onlyHand);
    const [first] = (await planFor(KNOWN, given(result))).overturning!;
    const { knife, end, wrongBy, read, x } = first!;
    const others = csv
      .split('\n')
      .map((row, i) => ({ fields: row.split(','), line: i + 1 }))
      .slice(1, -1)
      .filter(({ fields }) => fields[1] !== read || Number(fields[2]) !== x);
    expect(others.length).toBeGreaterThan(40);
    for (const { line } of others) {
      for (const by of [wrongBy, -wrongBy]) {
        const then = await changed(csv, line, by);
        const found = then.knives
          .find(({ id }) => id === knife)!
          .ends.find(({ name }) => name === end)!;
        expect(found.offset).not.toBeNull();
        expect(found.probabilityInside!).toBeLessThan(0.945);
      }
    }
  }, 60_000);

  it('is none where nothing is to be moved', async () => {
    const { result } = await measured(shopOf(numbered(4).map(() => [0, 0])), KNOWN);
    expect(result.moves).toEqual([]);
    const plan = await planFor(KNOWN, given(result));
    expect(plan.overturning).toEqual([]);
    expect(codesOf(plan)).toContain('nothing-open');
    expect({ boards: plan.boards, readings: plan.readings, minutes: plan.minutes }).toEqual({
      boards: [],
      readings: 0,
      minutes: 0,
    });
    expect(plan.undetermined).toEqual([]);
    expect(plan.expected.knifeEndU).toBeGreaterThan(0);
    expect(planFaults(plan, BENCH)).toEqual([]);
  });
});

describe('what is measured next', () => {
  it('is a knife that was never cut, beside one that is known', async () => {
    const shop = shopOf([
      [0, 0],
      [0.1, 0.05],
      [-0.05, 0],
      [0, 0.03],
    ]);
    const { result } = await measured(shop, GUESSED, (boards) =>
      boards.map((board) => ({ ...board, knives: board.knives.filter((id) => id !== '3') })),
    );
    const plan = await planFor(GUESSED, given(result));
    expect(planFaults(plan, BENCH)).toEqual([]);
    expect(plan.undetermined).toEqual([]);
    const hand = plan.boards.filter(({ cut, again }) => cut === 'hand' && !again);
    expect(hand.length).toBeGreaterThanOrEqual(2);
    for (const { knives, setting } of hand) {
      expect(knives).toContain('3');
      expect(knives.length).toBeGreaterThanOrEqual(2);
      expect(setting).toBe('later');
    }
    // The boards of before are known by their names.
    const before = new Set(result.fitted.map(({ board }) => board));
    expect(hand.filter(({ board }) => before.has(board))).toEqual([]);
    expect(plan.readings).toBeLessThan(result.readings.total);
  });

  it('is what ties knives together between which the bed was moved', async () => {
    const shop = shopOf([
      [0, 0],
      [0.1, 0.05],
      [-0.05, 0],
      [0, 0.03],
    ]);
    const { result } = await measured(shop, GUESSED, (boards) =>
      onlyHand(boards).flatMap((board) => [
        { ...board, knives: board.knives.slice(0, 2) },
        { ...board, board: `${board.board}b`, knives: board.knives.slice(2), setting: 'other' },
      ]),
    );
    expect(result.knives.some(({ ends }) => ends[0]!.offset === null)).toBe(true);
    const plan = await planFor(GUESSED, given(result));
    expect(plan.undetermined).toEqual([]);
    expect(plan.boards.some(({ knives }) => knives.some((id) => id === '1' || id === '2'))).toBe(
      true,
    );
    expect(plan.boards.some(({ knives }) => knives.some((id) => id === '3' || id === '4'))).toBe(
      true,
    );
  });

  it('settles an end that stands near its limit, by its own scoops or by new ones', async () => {
    const shop = shopOf([
      [0.045, 0],
      [-0.02, 0],
      [-0.02, 0],
      [-0.005, 0],
    ]);
    const { csv, result } = await measured(shop, GUESSED);
    expect(result.verdicts.together).toBe('undecided');
    const plan = await planFor(GUESSED, given(result));
    expect(planFaults(plan, BENCH)).toEqual([]);
    expect(codesOf(plan)).toContain('still-open');
    expect(plan.boards.length).toBeGreaterThan(0);
    // Places measured again are places that were measured, no oftener than they were.
    const rows = csv.split('\n').map((row) => row.split(',').slice(0, 4).join());
    for (const { board, knives, x, y, again } of plan.boards) {
      if (!again) continue;
      expect(new Set(y).size).toBe(y.length);
      for (const at of y) expect(rows).toContain([board, knives[0], x[0], at].join());
    }
    expect(plan.expected.knifeEndU!).toBeLessThan(
      Math.max(...result.knives.flatMap(({ ends }) => ends.map(({ U }) => U!))),
    );
  });

  it('is told with the last result’s own noise', async () => {
    const { result } = await measured(
      shopOf([
        [0.3, 0],
        [0, 0],
        [0, 0],
        [0, 0],
      ]),
      GUESSED,
    );
    const plan = await planFor(GUESSED, given(result));
    const widest = Math.max(...result.knives.flatMap(({ ends }) => ends.map(({ U }) => U!)));
    expect(plan.boards).toEqual([]);
    // The result's t is that of its degrees of freedom, the plan's that of a known noise.
    expect(plan.expected.knifeEndU! / widest).toBeGreaterThan(0.93);
    expect(plan.expected.knifeEndU! / widest).toBeLessThan(1 + 1e-6);
  });

  it('is nothing after a gauge has told all, and nothing is called unknown', async () => {
    const shop = shopOf([
      [0.2, 0],
      [0, 0],
      [0, 0.02],
      [0, 0],
    ]);
    const { boards } = await planFor(GUESSED);
    const { csv } = boardsAsPlanned({ boards: onlyFull(boards) }, shop, seeded(3));
    const indicator = { ...USUAL_INDICATOR, zeros: 'each x' } as const;
    const gauge = gaugeText(gaugeEdges(shop, [40, 260, 480], indicator, seeded(4)));
    const result = await resultOf(GUESSED, [csv], { gauge });
    const plan = await planFor(GUESSED, given(result));
    expect(plan.undetermined).toEqual(result.fit.undetermined);
    expect(plan.undetermined).toEqual([]);
    const widest = Math.max(...result.knives.flatMap(({ ends }) => ends.map(({ U }) => U!)));
    if (codesOf(plan).includes('nothing-open')) expect(plan.expected.knifeEndU).toBe(widest);
    else expect(plan.expected.knifeEndU!).toBeLessThanOrEqual(widest);
  });
});

describe('a new start', () => {
  const shop = shopOf([
    [0.03, 0],
    [0, 0.02],
    [0, 0],
    [0, 0],
  ]);

  it('needs no strips under power where they have answered, and says when to stop', async () => {
    const { result } = await measured(shop, GUESSED, onlyFull);
    const plan = await planFor(GUESSED, given(result));
    expect(new Set(plan.boards.map(({ cut }) => cut))).toEqual(new Set(['hand']));
    expect(result.board.verdict).toBe('inside');
    expect(codesOf(plan)).toContain('stop-here');
    const tapered = shopOf(
      [
        [0, 0],
        [0, 0],
        [0, 0],
        [0, 0],
      ],
      { tilt: 0.3 },
    );
    const outside = await measured(tapered, GUESSED, onlyFull);
    const further = codesOf(await planFor(GUESSED, given(outside.result)));
    expect(further).toContain('power-answered');
    expect(further).not.toContain('stop-here');
  });

  it('is made where the boards and their description disagree', async () => {
    const { csv } = await measured(shop, GUESSED);
    const wild = csv
      .split('\n')
      .map((row, i) => {
        const fields = row.split(',');
        if (i === 0 || fields.length < 5) return row;
        return fields.with(4, (20 + ((i * 7919) % 13) * 0.4).toFixed(2)).join(',');
      })
      .join('\n');
    const result = await resultOf(GUESSED, [wild]);
    expect(result.notices.map(({ code }) => code)).toContain('boards-disagree');
    const plan = await planFor(GUESSED, given(result));
    expect(codesOf(plan)).toContain('starts-afresh');
    expect(plan.boards.length).toBeGreaterThanOrEqual(4);
    expect(plan.overturning).toBeUndefined();
    expect(planFaults(plan, BENCH)).toEqual([]);
  });

  it('never takes the name of a board that the result has', async () => {
    const { result } = await measured(shop, GUESSED);
    const before = new Set(result.fitted.map(({ board }) => board));
    const plan = await planFor(GUESSED, { ...given(result), stations: 5, repeats: 2 });
    expect(plan.boards.filter(({ board }) => before.has(board))).toEqual([]);
  });
});

describe('a board of one proud knife', () => {
  const ASKED = ['full', 'hand', 'proud'] as const;
  const leading = shopOf([
    [0, 0],
    [0.25, 0.25],
    [0, 0],
    [0, 0],
  ]);
  const proud = ({ boards }: Plan) => boards.filter(({ cut }) => cut === 'proud');

  it('is offered once full boards agree that one knife leads everywhere', async () => {
    const { result } = await measured(leading, GUESSED);
    expect(result.evidence.fullBoards?.agree).toBe(true);
    const plan = await planFor(GUESSED, { ...given(result), cuts: ASKED });
    expect(proud(plan).map(({ knives }) => knives)).toEqual([['2']]);
    expect(codesOf(plan)).not.toContain('proud-not-offered');
    expect(planFaults(plan, BENCH)).toEqual([]);
  });

  it.each([
    { name: 'before anything is measured', result: async () => null },
    {
      name: 'by hand alone',
      result: async () => (await measured(leading, GUESSED, onlyHand)).result,
    },
    {
      name: 'where it leads at one end only',
      result: async () =>
        (
          await measured(
            shopOf([
              [0, 0.2],
              [0.25, 0],
              [0, 0],
              [0, 0],
            ]),
            GUESSED,
          )
        ).result,
    },
    {
      name: 'where it leads by too little to hide the others',
      result: async () =>
        (
          await measured(
            shopOf([
              [0, 0],
              [0.015, 0.015],
              [0, 0],
              [0, 0],
            ]),
            GUESSED,
          )
        ).result,
    },
  ])('is not offered $name', async ({ result }) => {
    const found = await result();
    const plan = await planFor(GUESSED, { ...(found ? given(found) : {}), cuts: ASKED });
    expect(proud(plan)).toEqual([]);
    const notice = plan.notices.find(({ code }) => code === 'proud-not-offered')!;
    expect(notice.hint).toMatch(/never raise a knife/);
  });
});

describe('a result that cannot be planned from', () => {
  const shop = shopOf([
    [0, 0],
    [0.1, 0],
    [0, 0],
    [0, 0],
  ]);

  it('is one of another machine', async () => {
    const { result } = await measured(shop, GUESSED);
    for (const other of [
      GUESSED.replace('Invented', 'Another'),
      machineFile({ knives: numbered(3) }),
      machineFile({ at: [50, 480] }),
    ]) {
      const { plan, notices } = await planned(other, given(result));
      expect(plan).toBeNull();
      expect(notices.map(({ code }) => code)).toContain('result-of-another-machine');
    }
  });

  it('is one that lacks what is built on, whatever that is', async () => {
    const { result } = await measured(shop, GUESSED);
    const without = (key: keyof Result) => {
      const { [key]: _, ...rest } = result;
      return rest as unknown as Result;
    };
    const broken: Result[] = [
      without('fitted'),
      without('fit'),
      without('bed'),
      without('board'),
      without('verdicts'),
      { ...result, fitted: [{ x: 40 }] as unknown as Result['fitted'] },
      { ...result, knives: result.knives.slice(1) },
      { ...result, fit: { ...result.fit, readingSd: Number.NaN } },
    ];
    for (const each of broken) {
      const { plan, notices } = await planned(GUESSED, given(each));
      expect(plan).toBeNull();
      const [error] = notices.filter(({ severity }) => severity === 'error');
      expect(error).toMatchObject({ code: 'bad-result', file: 'result.json' });
      expect(error!.found).toBeTruthy();
      expect(error!.hint).toBeTruthy();
    }
  });
});
