import { describe, expect, test } from 'vitest';
import type { Result } from '../../src/record/result.js';
import { fullBoards, narrowStrips, type Place, twoStrips, wideBoard } from '../workshop/designs.js';
import { type Random, seeded } from '../workshop/random.js';
import { drawShop, type Shop, shopWith } from '../workshop/shop.js';
import { truthOf } from '../workshop/simulate.js';
import { contractFaults } from './contract.js';
import { jsonOf, proofboard, temporaryFolder, written } from './program.js';
import { codesOf, csvOf, heightsOf, type MarkedPlace, machineWith, resultOf } from './workshop.js';

const ALONG = [200, 300, 400];
const SEEDS = Array.from({ length: 12 }, (_, i) => 7100 + i);

interface Job {
  readonly shop: Shop;
  readonly machine: string;
  readonly csv: string;
}

/** A drawn machine, and boards of it. */
function job(
  seed: number,
  knives: number,
  placesOf: (shop: Shop) => readonly MarkedPlace[],
  machineChanges: Readonly<Record<string, string>> = {},
): Job {
  const random = seeded(seed);
  const shop = drawShop(random, knives);
  return {
    shop,
    machine: machineWith(shop, machineChanges),
    csv: csvOf(shop, placesOf(shop), random),
  };
}

const full = (shop: Shop) => fullBoards(shop, ALONG);
const all = (shop: Shop) => [...narrowStrips(shop), ...full(shop)];

/** What the whole command says of a job. */
function command({ machine, csv }: Job) {
  const files = written(temporaryFolder(), { 'machine.toml': machine, 'boards.csv': csv });
  const json = proofboard(['analyse', ...files, '--json']);
  const text = proofboard(['analyse', ...files]);
  expect(text.code).toBe(json.code);
  return { code: json.code, result: jsonOf(json) as Result, text: text.stdout };
}

function unknownOf(result: Result): string[] {
  return Object.entries(heightsOf(result)).flatMap(([name, value]) => (value === null ? name : []));
}

function namesOf({ knives }: Shop, ...more: string[]): string[] {
  return [...knives.flatMap(({ id }) => [`${id} front`, `${id} back`]), ...more];
}

/** What holds wherever something has to be left open. */
function expectOpen(result: Result): void {
  expect(contractFaults(result)).toEqual([]);
  expect(result.moves).toEqual([]);
  expect(result.expected).toEqual({ worstEnd: null, bedTilt: null, probabilityInside: null });
  expect(codesOf(result)).toContain('next-board');
  expect(result.verdicts.together).not.toBe('inside');
}

/** How often ± U holds the true taper. */
function taperHits(jobs: readonly (readonly [Job, Result])[]): number {
  const hits = jobs.filter(([{ shop }, { board }]) => {
    expect(board.taper).not.toBeNull();
    return Math.abs(board.taper! - truthOf(shop).taper) <= board.U!;
  });
  return hits.length / jobs.length;
}

async function resultsOf(jobs: readonly Job[]): Promise<(readonly [Job, Result])[]> {
  const pairs: (readonly [Job, Result])[] = [];
  for (const each of jobs) pairs.push([each, await resultOf(each.machine, each.csv)]);
  return pairs;
}

describe.each([2, 3, 4])('full boards alone, %i knives', (knives) => {
  const jobs = SEEDS.map((seed) => job(seed, knives, full));

  test('tell of no knife and no bed, and of the taper all the same', async () => {
    const results = await resultsOf(jobs);
    for (const [{ shop }, result] of results) {
      expect(unknownOf(result)).toEqual(namesOf(shop, 'bed'));
      expectOpen(result);
      expect(result.finish.showing).toEqual([]);
      expect(result.fit.rank).toBeLessThan(result.fit.parameters);
    }
    expect(taperHits(results)).toBeGreaterThanOrEqual(10 / 12);
  });

  test('end with 3 and name the board to cut next', () => {
    const { code, result, text } = command(jobs[0]!);
    expect(code).toBe(3);
    expect(unknownOf(result)).toHaveLength(2 * knives + 1);
    expect(text.replaceAll(/\s+/g, ' ')).toMatch(/board to cut next: by hand/);
    expect(text).toContain('not known');
  });

  test('so do two strips under power', async () => {
    const jobs = SEEDS.map((seed) => job(seed, knives, (shop) => twoStrips(shop, ALONG)));
    const results = await resultsOf(jobs);
    for (const [{ shop }, result] of results) {
      expect(unknownOf(result)).toEqual(namesOf(shop, 'bed'));
      expectOpen(result);
      expect(codesOf(result)).toContain('rests-on-bed-lock');
    }
    expect(taperHits(results)).toBeGreaterThanOrEqual(10 / 12);
  });
});

test('full boards of a machine with one knife tell of their taper', async () => {
  const single = job(5, 1, full);
  const result = await resultOf(single.machine, single.csv);
  expect(contractFaults(result)).toEqual([]);
  expect(result.knives[0]!.ends.map(({ offset, u }) => [offset, u])).toEqual([
    [null, null],
    [null, null],
  ]);
  expect(taperHits([[single, result]])).toBe(1);
});

describe('a knife never cut alone', () => {
  const jobs = SEEDS.map((seed) =>
    job(seed, 4, (shop) => all(shop).filter(({ knife }) => knife !== '3')),
  );

  test('stays unknown, and the others are told against their own mean', async () => {
    const results = await resultsOf(jobs);
    for (const [{ shop }, result] of results) {
      expect(unknownOf(result)).toEqual(['3 front', '3 back']);
      expectOpen(result);
      expect(codesOf(result)).toContain('mean-of-some-knives');
      for (const end of [0, 1] as const) {
        const ends = result.knives.filter(({ id }) => id !== '3').map(({ ends }) => ends[end]!);
        expect(ends.reduce((sum, { offset }) => sum + offset!, 0)).toBeCloseTo(0, 9);
        const right = truthOf(shop).offsets.filter(({ id }) => id !== '3');
        const mean = right.reduce((sum, each) => sum + (end ? each.back : each.front), 0) / 3;
        ends.forEach(({ offset }, i) => {
          const truth = (end ? right[i]!.back : right[i]!.front) - mean;
          expect(Math.abs(offset! - truth)).toBeLessThan(0.02);
        });
      }
    }
    expect(taperHits(results)).toBeGreaterThanOrEqual(10 / 12);
  });

  test('ends with 3 and is named', () => {
    const { code, result, text } = command(jobs[1]!);
    expect(code).toBe(3);
    expect(result.fit.undetermined.join()).toMatch(/knife 3/);
    expect(text).toMatch(/^ {2}3 +not known +not known/m);
  });

  test('one knife alone is not told as 0 ± 0', async () => {
    const { shop, machine, csv } = job(SEEDS[0]!, 3, (shop) =>
      all(shop).filter(({ knife }) => knife === '2' || knife === 'all'),
    );
    const result = await resultOf(machine, csv);
    expect(unknownOf(result)).toEqual(namesOf(shop, 'bed'));
    expectOpen(result);
    expect(result.board.taper).not.toBeNull();
  });
});

describe('one station', () => {
  const middle = (shop: Shop) => narrowStrips(shop).filter(({ x }) => x === 260);

  test('tells of no end of any knife, nor of the bed', async () => {
    const { shop, machine, csv } = job(7, 4, middle);
    const result = await resultOf(machine, csv);
    expect(unknownOf(result)).toEqual(namesOf(shop, 'bed'));
    expectOpen(result);
    expect(result.board.taper).toBeNull();
  });

  test('with a full board the taper is told', async () => {
    const jobs = SEEDS.map((seed) => job(seed, 4, (shop) => [...middle(shop), ...full(shop)]));
    const results = await resultsOf(jobs);
    for (const [{ shop }, result] of results) {
      expect(unknownOf(result)).toEqual(namesOf(shop, 'bed'));
      expectOpen(result);
    }
    expect(taperHits(results)).toBeGreaterThanOrEqual(10 / 12);
    expect(command(jobs[0]!).code).toBe(3);
  });
});

/** Every knife on a board as wide as the machine, of its own. */
const ownBoards = (shop: Shop): MarkedPlace[] =>
  wideBoard(shop).map((place) => ({ ...place, board: `K${place.knife}` }));
const withSettings = (places: readonly Place[]): MarkedPlace[] =>
  places.map((place) => ({ ...place, setting: `S${place.knife}` }));

describe('the bed moved between knives', () => {
  const jobs = SEEDS.map((seed) =>
    job(seed, 3, (shop) => [...withSettings(ownBoards(shop)), ...full(shop)]),
  );

  test('leaves every knife open', async () => {
    const results = await resultsOf(jobs);
    for (const [{ shop }, result] of results) {
      expect(unknownOf(result)).toEqual(namesOf(shop, 'bed'));
      expectOpen(result);
    }
    expect(taperHits(results)).toBeGreaterThanOrEqual(10 / 12);
    expect(command(jobs[0]!).code).toBe(3);
  });

  test('and so it does where all stand on the same strips', async () => {
    const { shop, machine, csv } = job(8, 3, (shop) => withSettings(narrowStrips(shop)));
    const result = await resultOf(machine, csv);
    expect(unknownOf(result)).toEqual(namesOf(shop, 'bed'));
    expectOpen(result);
  });

  test('between two pairs of knives: the first pair is told, the other is not', async () => {
    const { machine, csv } = job(9, 4, (shop) =>
      wideBoard(shop).map((place) => {
        const pair = place.knife === '1' || place.knife === '3' ? 'odd' : 'even';
        return { ...place, board: pair, setting: pair };
      }),
    );
    const result = await resultOf(machine, csv);
    expect(unknownOf(result)).toEqual(['2 front', '2 back', '4 front', '4 back']);
    expectOpen(result);
    expect(codesOf(result)).toContain('mean-of-some-knives');
  });
});

describe('one knife a board, at one locked height', () => {
  const bare = job(11, 4, ownBoards);

  test('rests on the lock, with the lock in its uncertainty', async () => {
    const [lean, firm] = [bare, job(11, 4, wideBoard)];
    const [own, shared] = [
      await resultOf(lean.machine, lean.csv),
      await resultOf(firm.machine, firm.csv),
    ];
    expect(unknownOf(own)).toEqual([]);
    expect(contractFaults(own)).toEqual([]);
    expect(codesOf(own)).toContain('rests-on-bed-lock');
    expect(codesOf(shared)).not.toContain('rests-on-bed-lock');
    const us = own.knives.flatMap(({ ends }) => ends.map(({ u }) => u!));
    // Against the mean of four boards, each 0.005 mm: √(3/4) of that, whatever the readings.
    for (const u of us) expect(u).toBeGreaterThan(0.005 * Math.sqrt(3 / 4));
    for (const u of us) expect(u).toBeLessThan(0.012);
    expect(Math.max(...shared.knives.flatMap(({ ends }) => ends.map(({ u }) => u!)))).toBeLessThan(
      0.005 * Math.sqrt(3 / 4),
    );
    expect(command(bare).code).toBe(0);
  });

  test.each([
    { why: 'the settings differ', changed: job(11, 4, (shop) => withSettings(ownBoards(shop))) },
    {
      why: 'the lock is of unknown worth',
      changed: job(11, 4, ownBoards, { repeatability: '"unknown"' }),
    },
  ])('is null where $why', async ({ changed }) => {
    const result = await resultOf(changed.machine, changed.csv);
    expect(unknownOf(result)).toEqual(namesOf(changed.shop, 'bed'));
    expectOpen(result);
    expect(codesOf(result)).not.toContain('rests-on-bed-lock');
    expect(command(changed).code).toBe(3);
  });
});

describe('a lock of unknown worth', () => {
  const unknown = { repeatability: '"unknown"' };

  test('leaves one wide board as good as ever', async () => {
    const { machine, csv } = job(12, 4, wideBoard, unknown);
    const result = await resultOf(machine, csv);
    expect(unknownOf(result)).toEqual([]);
    expect(contractFaults(result)).toEqual([]);
  });

  test('on narrow strips leaves the bed open, and nothing of the knives', async () => {
    const strips = job(12, 4, narrowStrips, unknown);
    const result = await resultOf(strips.machine, strips.csv);
    expect(unknownOf(result)).toEqual(['bed']);
    expect(contractFaults(result)).toEqual([]);
    expect(codesOf(result)).toContain('next-board');
    // Every knife is determined, so knives can be judged, and turned, without the bed.
    expect(result.verdicts.knives).toBe('outside');
    expect(result.moves.length).toBeGreaterThan(0);
    expect(result.expected.worstEnd).toBeLessThan(0.05);
    expect(result.expected.bedTilt).toBeNull();
    expect(result.finish.showing.length).toBeGreaterThan(0);
    expect(command(strips).code).toBe(3);
  });

  test('knives that are inside are said to be, though the bed is open', async () => {
    const random = seeded(3);
    const shop = shopWith(
      ['1', '2', '3'].map((id) => ({ id, front: 0, back: 0, bow: 0, response: [0, 0] as const })),
    );
    const csv = csvOf(shop, narrowStrips(shop), random);
    const result = await resultOf(machineWith(shop, unknown), csv);
    expect(unknownOf(result)).toEqual(['bed']);
    expect(result.verdicts).toMatchObject({
      knives: 'inside',
      bed: 'undecided',
      together: 'undecided',
    });
  });

  test('leaves the taper of a wide full board as it is, beside strips', async () => {
    const results = await resultsOf(SEEDS.map((seed) => job(seed, 4, all, unknown)));
    expect(taperHits(results)).toBeGreaterThanOrEqual(10 / 12);
  });

  test('leaves the taper of two strips open, with a notice', async () => {
    const { machine, csv } = job(13, 4, (shop) => twoStrips(shop, ALONG), unknown);
    const result = await resultOf(machine, csv);
    expect(result.board.taper).toBeNull();
    expect(codesOf(result).join()).toMatch(/taper/);
  });
});

describe('what is null has a notice', () => {
  const named = (result: Result, word: RegExp) =>
    result.notices.filter(({ code, message }) => word.test(`${code} ${message}`));

  test.each([
    {
      what: 'the taper, with two knives alone of four',
      places: (shop: Shop) => narrowStrips(shop).filter(({ knife }) => /[12]/.test(knife)),
    },
    {
      what: 'the taper, with full boards at one end only',
      places: (shop: Shop) => full(shop).filter(({ x }) => x < 200),
    },
    {
      what: 'the taper, with one station by hand',
      places: (shop: Shop) => narrowStrips(shop).filter(({ x }) => x === 40),
    },
  ])('$what', async ({ places }) => {
    const { machine, csv } = job(14, 4, places);
    const result = await resultOf(machine, csv);
    expect(result.board).toMatchObject({ taper: null, u: null, U: null });
    expect(named(result, /taper/i)).toHaveLength(1);
  });

  test('the crown, with stations at two places across', async () => {
    const { machine, csv } = job(15, 4, (shop) =>
      narrowStrips(shop).filter(({ x }) => x === 40 || x === 480),
    );
    const result = await resultOf(machine, csv);
    expect(unknownOf(result)).toEqual([]);
    expect(result.crown).toMatchObject({ value: null, u: null, U: null });
    expect(named(result, /crown/i).length).toBeGreaterThan(0);
  });
});

describe('knives labelled at random', () => {
  /** Knives so different that their labels matter. */
  function differing(knives: number): Shop {
    const ends = [0.12, -0.11, 0.03, -0.04];
    const rest = { bow: 0, response: [0, 0] as const };
    return shopWith(
      ends.slice(0, knives).map((front, k) => {
        return { id: String(k + 1), front, back: ends[(k + 1) % knives]!, ...rest };
      }),
      { tilt: 0.05 },
    );
  }

  /** Boards of which every hand cut carries a knife's number drawn at random. */
  function mislabelled(shop: Shop, random: Random): Job {
    const ids = shop.knives.map(({ id }) => id);
    const lines = csvOf(shop, all(shop), random).split('\n');
    const csv = lines.map((line) =>
      line.replace(/^(H\d,)\d+/, (_, board) => board + random.pick(ids)),
    );
    return { shop, machine: machineWith(shop), csv: csv.join('\n') };
  }

  test.each([2, 3, 4])(
    '%i knives: nothing of them is told, and the taper all the same',
    async (knives) => {
      const jobs = SEEDS.map((seed) => mislabelled(differing(knives), seeded(seed)));
      const results = await resultsOf(jobs);
      for (const [{ shop }, result] of results) {
        expect(unknownOf(result)).toEqual(namesOf(shop, 'bed'));
        expect(result.moves).toEqual([]);
        expect(codesOf(result)).toContain('boards-disagree');
      }
      expect(command(jobs[0]!).code).toBe(3);
      for (const [, result] of results) expectOpen(result);
      expect(taperHits(results)).toBeGreaterThanOrEqual(10 / 12);
    },
  );

  test.each([2, 3, 4])('%i knives, drawn: hardly ever is anything to be turned', async (knives) => {
    const jobs = Array.from({ length: 30 }, (_, i) => {
      const random = seeded(31_000 + i);
      return mislabelled(drawShop(random, knives), random);
    });
    const results = await resultsOf(jobs);
    const turned = results.filter(([, { moves }]) => moves.length > 0);
    const wrong = results.filter(([{ shop }, result]) => hasWrongVerdict(shop, result));
    expect(turned.length).toBeLessThanOrEqual(1);
    expect(wrong.length).toBeLessThanOrEqual(1);
  });

  function hasWrongVerdict(shop: Shop, { knives }: Result): boolean {
    return truthOf(shop).offsets.some(({ front, back }, k) =>
      [front, back].some((truth, end) => {
        const { verdict } = knives[k]!.ends[end]!;
        return verdict !== 'undecided' && (verdict === 'inside') !== Math.abs(truth) <= 0.05;
      }),
    );
  }
});
