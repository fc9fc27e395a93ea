import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import type { Result } from '../../src/record/result.js';
import { fullBoards, narrowStrips } from '../workshop/designs.js';
import { seeded } from '../workshop/random.js';
import { type Shop, shopWith, turnScrews } from '../workshop/shop.js';
import { contractFaults } from './contract.js';
import { BOARDS, jsonOf, MACHINE, proofboard, RERUN, temporaryFolder, written } from './program.js';
import { csvOf, machineWith } from './workshop.js';

const TRUE_RESPONSE = { front: 0.95, back: 1.04 };

/** Three knives, of which two are low: one at the front by much, one at the back. */
function lowKnives(): Shop {
  const ends = [
    [0, 0.01],
    [-0.2, 0],
    [0.01, -0.15],
  ];
  const response = [TRUE_RESPONSE.front - 1, TRUE_RESPONSE.back - 1] as const;
  return shopWith(
    ends.map(([front, back], k) => ({ id: `K${k}`, front: front!, back: back!, bow: 0, response })),
    { handTurnSd: 0 },
  );
}

interface Rerun {
  readonly files: readonly string[];
  readonly first: string;
  readonly moves: Result['moves'];
}

/** First boards, moves as the program says, second boards; all in files. */
function rerun(shop: Shop, ...options: string[]): Rerun {
  const places = (of: Shop) => [...narrowStrips(of), ...fullBoards(of, [200, 300, 400])];
  const random = seeded(4);
  const folder = temporaryFolder();
  const [machine, before] = written(folder, {
    'machine.toml': machineWith(shop),
    'before.csv': csvOf(shop, places(shop), random),
  });
  const first = `${folder}/first.json`;
  proofboard(['analyse', machine!, before!, '--out', first, ...options]);
  const { moves } = JSON.parse(readFileSync(first, 'utf8')) as Result;
  const turned = turnScrews(
    shop,
    moves.map(({ knife, x, turns }) => ({ knife, x, turns: turns! })),
    random,
  );
  const [after] = written(folder, { 'after.csv': csvOf(turned, places(turned), random) });
  return { files: [machine!, after!], first, moves };
}

describe('--against', () => {
  test('tells what each move did, against the knives not moved at that end', () => {
    const { files, first, moves } = rerun(lowKnives());
    expect(moves.map(({ knife, end }) => [knife, end])).toEqual([
      ['K1', 'front'],
      ['K2', 'back'],
    ]);
    const run = proofboard(['confirm', ...files, '--against', first, '--json']);
    const result = jsonOf(run);
    expect(run.code).toBe(0);
    expect(contractFaults(result)).toEqual([]);
    expect(
      result.since.map(({ knife, end, x, asked }: Result['moves'][0] & { asked: number }) => ({
        knife,
        end,
        x,
        lift: asked,
      })),
    ).toEqual(moves.map(({ knife, end, x, lift }) => ({ knife, end, x, lift })));
    for (const { end, asked, got, u, response } of result.since) {
      const truth = asked * TRUE_RESPONSE[end as 'front' | 'back'];
      expect(u).toBeGreaterThan(0.002);
      expect(u).toBeLessThan(0.012);
      expect(Math.abs(got - truth)).toBeLessThan(3 * u);
      expect(response).toBeCloseTo(got / asked, 9);
    }
  });

  test('tells it in words too', () => {
    const { files, first } = rerun(lowKnives());
    const { stdout } = proofboard(['confirm', ...files, '--against', first]);
    expect(stdout).toMatch(
      /What the moves did[\s\S]*knife K1, front +\+0\.\d+ mm +\+0\.\d+ ± 0\.\d+ +\d\.\d\d$/m,
    );
  });

  test('cannot tell where every knife at that end was moved', () => {
    const shop = shopWith([
      { id: 'K0', front: 0.1, back: 0, bow: 0, response: [0, 0] },
      { id: 'K1', front: -0.1, back: 0, bow: 0, response: [0, 0] },
    ]);
    const { files, first, moves } = rerun(shop);
    const both = [
      { ...moves[0]!, knife: 'K0', lift: -0.125, turns: -0.125, direction: 'clockwise' },
      { ...moves[0]!, knife: 'K1', lift: 0.125, turns: 0.125, direction: 'anticlockwise' },
    ];
    const result = JSON.parse(readFileSync(first, 'utf8'));
    const [changed] = written(temporaryFolder(), {
      'both.json': JSON.stringify({ ...result, moves: both }),
    });
    const { since } = jsonOf(proofboard(['confirm', ...files, '--against', changed!, '--json']));
    expect(since).toHaveLength(2);
    for (const each of since) expect(each).toMatchObject({ got: null, u: null, response: null });
  });

  test('adds since and changes nothing else', () => {
    const folder = temporaryFolder();
    const first = `${folder}/first.json`;
    proofboard(['analyse', MACHINE, BOARDS, '--out', first]);
    const against = proofboard([
      'confirm',
      MACHINE,
      RERUN,
      '--against',
      first,
      '--json',
      '--out',
      `${folder}/second.json`,
    ]);
    const plain = jsonOf(proofboard(['confirm', MACHINE, RERUN, '--json']));
    const { since, ...rest } = jsonOf(against);
    expect(since).toHaveLength(2);
    expect({ ...rest, date: null }).toEqual({ ...plain, date: null });
    expect(readFileSync(`${folder}/second.json`, 'utf8')).toBe(against.stdout);
  });

  test('a result without moves gives an empty list', () => {
    const first = `${temporaryFolder()}/first.json`;
    proofboard(['analyse', MACHINE, RERUN, '--out', first]);
    expect(
      jsonOf(proofboard(['confirm', MACHINE, RERUN, '--against', first, '--json'])).since,
    ).toEqual([]);
  });

  test('a result of the promised keys and no others is enough', () => {
    const first = jsonOf(proofboard(['analyse', MACHINE, BOARDS, '--json']));
    const { covariance: _, evidence: __, ...promised } = first;
    const [file] = written(temporaryFolder(), { 'promised.json': JSON.stringify(promised) });
    const run = proofboard(['confirm', MACHINE, RERUN, '--against', file!, '--json']);
    expect(run.code).toBe(0);
    for (const { got, u } of jsonOf(run).since) {
      expect(Math.abs(got)).toBeGreaterThan(0.1);
      expect(u).toBeGreaterThan(0);
    }
  });
});

describe('--against refuses', () => {
  const first = jsonOf(proofboard(['analyse', MACHINE, BOARDS, '--json'])) as Result;
  const ends = (shift: number) =>
    first.knives.map((knife) => ({
      ...knife,
      ends: knife.ends.map((end) => ({ ...end, x: end.x + shift })),
    }));

  test.each([
    {
      what: 'a machine of another name',
      json: { ...first, machine: { ...first.machine, name: 'Other' } },
    },
    {
      what: 'other knives',
      json: { ...first, machine: { ...first.machine, knives: ['A', 'B'] }, knives: [] },
    },
    {
      what: 'knives in another order',
      json: { ...first, machine: { ...first.machine, knives: ['2', '1', '3', '4'] } },
    },
    { what: 'adjusters elsewhere', json: { ...first, knives: ends(10) } },
    { what: 'a result of a newer kind', json: { ...first, schema: 'proofboard/result@2' } },
    { what: 'readings', json: { schema: 'proofboard/readings@1', readings: [], notices: [] } },
    { what: 'what came of an error', json: { schema: 'proofboard/result@1', notices: [] } },
    { what: 'a list', json: [] },
    { what: 'nothing', json: null },
    { what: 'a result without ends', json: { ...first, knives: [] } },
    { what: 'moves of no knife', json: { ...first, moves: [{ knife: 2 }] } },
  ])('$what', ({ json }) => {
    const folder = temporaryFolder();
    const [file] = written(folder, { 'first.json': JSON.stringify(json) });
    const out = `${folder}/second.json`;
    const run = proofboard(['confirm', MACHINE, RERUN, '--against', file!, '--json', '--out', out]);
    expect(run.code).toBe(2);
    const { schema, notices, ...rest } = jsonOf(run);
    expect([schema, rest]).toEqual(['proofboard/result@1', {}]);
    const errors = notices.filter(({ severity }: { severity: string }) => severity === 'error');
    expect(errors).toEqual([expect.objectContaining({ file, hint: expect.any(String) })]);
    expect(run.stderr).toContain(`${file}: `);
    expect(() => readFileSync(out)).toThrow();
  });

  test('what is no JSON, or is not there', () => {
    const [half] = written(temporaryFolder(), { 'half.json': JSON.stringify(first).slice(0, 500) });
    for (const name of [half!, 'nothing.json', 'fixtures', BOARDS]) {
      expect(proofboard(['confirm', MACHINE, RERUN, '--against', name]).code).toBe(2);
    }
  });
});

test('confirm tells the same of the boards as analyse', () => {
  const [one, other] = ['analyse', 'confirm'].map((command) =>
    jsonOf(proofboard([command, MACHINE, BOARDS, '--json'])),
  );
  expect({ ...one, date: null }).toEqual({ ...other, date: null });
});
