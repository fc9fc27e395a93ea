import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import * as v from 'valibot';
import { describe, expect, test } from 'vitest';
import { contractFaults, noticeShape } from './contract.js';
import { BOARDS, jsonOf, MACHINE, proofboard, RERUN, root, STRIPS, spoken } from './program.js';

const OWNER = { finestTurn: 1 / 16, raisedBy: 'anticlockwise' } as const;

describe('a result is what was promised', () => {
  test.each(
    spoken([
      { line: ['analyse', MACHINE, BOARDS] },
      { line: ['analyse', MACHINE, STRIPS] },
      { line: ['analyse', MACHINE, BOARDS, '--target', 'bed'] },
      { line: ['confirm', MACHINE, RERUN] },
      { line: ['confirm', MACHINE, BOARDS] },
      { line: ['analyse', 'fixtures/machines/thicknesser.toml', BOARDS] },
      { line: ['analyse', 'fixtures/machines/thicknesser.toml', 'fixtures/boards/plain.csv'] },
    ]),
  )('$command', ({ line }) => {
    expect(contractFaults(jsonOf(proofboard([...line, '--json'])), OWNER)).toEqual([]);
  });

  const right = () => jsonOf(proofboard(['analyse', MACHINE, BOARDS, '--json']));
  const result = right();
  const [knife, ...knives] = result.knives;
  const [front, back] = knife.ends;
  const [move, ...moves] = result.moves;
  const { crown: _, ...crownless } = result;

  test.each([
    { what: 'a missing part', json: crownless },
    { what: 'a text for a number', json: { ...result, bed: { ...result.bed, tilt: '0.1' } } },
    { what: 'null for a list', json: { ...result, moves: null } },
    { what: 'a knife too few', json: { ...result, knives } },
    {
      what: '0 for what is not known',
      json: { ...result, bed: { ...result.bed, tilt: 0, u: null, U: null } },
    },
    {
      what: 'an unknown end with moves, and no word of it',
      json: {
        ...result,
        knives: [
          {
            ...knife,
            ends: [
              {
                ...front,
                offset: null,
                u: null,
                U: null,
                probabilityInside: null,
                verdict: 'undecided',
              },
              back,
            ],
          },
          ...knives,
        ],
      },
    },
    {
      what: 'half a finest turn',
      json: { ...result, moves: [{ ...move, turns: 0.03125 }, ...moves] },
    },
    {
      what: 'the other way',
      json: { ...result, moves: [{ ...move, direction: 'anticlockwise' }, ...moves] },
    },
    {
      what: 'a residual that forgets the mean',
      json: { ...result, moves: [{ ...move, residualAfter: move.residualAfter + 0.03 }, ...moves] },
    },
    { what: 'a reading lost', json: { ...result, readings: { ...result.readings, used: 97 } } },
    { what: 'set aside in silence', json: { ...result, notices: [] } },
    {
      what: 'inside although an end is outside',
      json: { ...result, verdicts: { knives: 'inside', bed: 'inside', together: 'inside' } },
    },
  ])('and $what would be noticed', ({ json }) => {
    expect(contractFaults(json, OWNER)).not.toEqual([]);
  });
});

test('files are listed as they were given, with the SHA-256 of their bytes', () => {
  const { files } = jsonOf(proofboard(['analyse', MACHINE, STRIPS, BOARDS, '--json']));
  expect(files).toEqual(
    [STRIPS, BOARDS].map((name) => ({
      name,
      sha256: createHash('sha256')
        .update(readFileSync(join(root, name)))
        .digest('hex'),
    })),
  );
});

test('what comes from the machine file is carried into the result', () => {
  const result = jsonOf(
    proofboard(['analyse', 'fixtures/machines/thicknesser.toml', BOARDS, '--json']),
  );
  expect(result.machine).toEqual({ name: 'Bench thicknesser', knives: ['1', '2', '3', '4'] });
  expect(result.tolerance).toEqual({ knife: 0.05, bed: 0.1 });
  expect(result.instrument).toMatchObject({ resolution: 0.01, maxError: 0.02 });
  expect(result.set).toMatchObject({ name: 'set A', edge: 'first', fitted: '2026-11-20' });
  expect(result.bed.span).toBe(440);
});

test('warnings go to standard error as file:line, and into the notices, never into the JSON', () => {
  const run = proofboard(['analyse', MACHINE, BOARDS, '--json']);
  const warnings = jsonOf(run).notices.filter(
    (each: { severity: string }) => each.severity === 'warning',
  );
  expect(warnings.map(({ line }: { line: number }) => line)).toEqual([53, 69]);
  for (const line of [53, 69]) expect(run.stderr).toMatch(new RegExp(`^${BOARDS}:${line}: `, 'm'));
});

describe('with an error in the input the JSON still comes, with notices and without a result', () => {
  test.each(
    spoken([
      { line: ['read', MACHINE, 'fixtures/broken/dates.csv'], schema: 'proofboard/readings@1' },
      { line: ['read', 'nothing.toml'], schema: 'proofboard/readings@1' },
      { line: ['analyse', MACHINE, 'fixtures/broken/dates.csv'], schema: 'proofboard/result@1' },
      {
        line: ['analyse', 'fixtures/machines/broken/many-faults.toml', BOARDS],
        schema: 'proofboard/result@1',
      },
      { line: ['analyse', MACHINE, 'nothing.csv'], schema: 'proofboard/result@1' },
      { line: ['analyse', MACHINE, BOARDS, '--target', '9'], schema: 'proofboard/result@1' },
      { line: ['confirm', MACHINE, 'fixtures/broken/empty.csv'], schema: 'proofboard/result@1' },
      { line: ['confirm', MACHINE, RERUN, '--against', MACHINE], schema: 'proofboard/result@1' },
      {
        line: ['confirm', MACHINE, RERUN, '--against', 'nothing.json'],
        schema: 'proofboard/result@1',
      },
    ]),
  )('$command', ({ line, schema }) => {
    const run = proofboard([...line, '--json']);
    const json = jsonOf(run);
    expect(run.code).toBe(2);
    expect(Object.keys(json).sort()).toEqual(['notices', 'schema']);
    expect(json.schema).toBe(schema);
    expect(json.notices.some(({ severity }: { severity: string }) => severity === 'error')).toBe(
      true,
    );
    for (const notice of json.notices) {
      expect(v.safeParse(noticeShape, notice).issues ?? []).toEqual([]);
      const where = [notice.file, notice.line, notice.column].filter((part) => part !== undefined);
      if (where.length > 0) expect(run.stderr).toContain(`${where.join(':')}: `);
    }
  });
});

test('read prints the readings with the promised keys', () => {
  const { schema, readings, notices } = jsonOf(proofboard(['read', MACHINE, BOARDS, '--json']));
  expect([schema, readings.length, notices]).toEqual(['proofboard/readings@1', 100, []]);
  expect(readings[0]).toMatchObject({
    file: BOARDS,
    line: 4,
    board: 'H1',
    knife: '1',
    cut: 'hand',
    setting: null,
    x: 40,
    y: 40,
    thickness: 20.1,
  });
  expect(readings.at(-1)).toMatchObject({ board: 'F1', knife: 'all', cut: 'full' });
});

test('what read prints reads back to the same', () => {
  const first = proofboard(['read', MACHINE, BOARDS]);
  const again = proofboard(['read', MACHINE, '-'], { input: first.stdout });
  expect(again.stdout).toBe(first.stdout);
  const bare = (run: ReturnType<typeof proofboard>) =>
    jsonOf(run).readings.map(({ file: _, line: __, ...rest }: Record<string, unknown>) => rest);
  expect(bare(proofboard(['read', MACHINE, '-', '--json'], { input: first.stdout }))).toEqual(
    bare(proofboard(['read', MACHINE, BOARDS, '--json'])),
  );
});
