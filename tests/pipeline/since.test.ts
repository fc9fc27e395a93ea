import { readFileSync } from 'node:fs';
import { beforeAll, describe, expect, it } from 'vitest';
import { analyse } from '../../src/pipeline/analyse.js';
import { sinceMoves } from '../../src/pipeline/since.js';
import type { Result } from '../../src/record/result.js';

const file = (name: string) => ({ name, content: readFileSync(`fixtures/demo/${name}`) });

async function resultOf(readings: string): Promise<Result> {
  const machine = file('machine.toml');
  const { result } = await analyse(machine, [file(readings)], { date: new Date(0) });
  if (!result) throw new Error(readings);
  return result;
}

/** The later result with every end moved by `share` of what it really moved. */
function movedBy(before: Result, after: Result, share: number): Result {
  return {
    ...after,
    knives: after.knives.map((knife, k) => ({
      ...knife,
      ends: knife.ends.map((end, e) => {
        const was = before.knives[k]!.ends[e]!.offset!;
        return { ...end, offset: was + share * (end.offset! - was) };
      }),
    })),
  };
}

describe('what moves did', () => {
  let before: Result;
  let after: Result;
  beforeAll(async () => {
    before = await resultOf('boards.csv');
    after = await resultOf('rerun.csv');
  });

  it('answers as asked within its uncertainty, against the knives not moved there', () => {
    const { since, notices, withhold } = sinceMoves(before, after, 'first.json');
    expect(since.length).toBe(2);
    for (const { got, u, asked } of since) expect(Math.abs(got! - asked)).toBeLessThan(3 * u!);
    expect(notices).toEqual([]);
    expect(withhold).toBe(false);
  });

  it('holds further moves back where one went the other way', () => {
    const { notices, withhold } = sinceMoves(before, movedBy(before, after, -1), 'first.json');
    expect(notices.map(({ code }) => code)).toEqual(['moved-the-other-way', 'moved-the-other-way']);
    expect(withhold).toBe(true);
  });

  it('says where moves hardly took', () => {
    const { notices } = sinceMoves(before, movedBy(before, after, 0.1), 'first.json');
    expect(notices.map(({ code }) => code)).toEqual(['moved-too-little', 'moved-too-little']);
  });

  it('knows the readings of the first result again', () => {
    const { notices } = sinceMoves(before, before, 'first.json');
    expect(notices[0]!.code).toBe('same-readings');
  });

  it('has nothing to measure against where every knife at an end was moved', () => {
    const all = before.machine.knives.map((knife) => ({ ...before.moves[0]!, knife }));
    const { since } = sinceMoves({ ...before, moves: all }, after, 'first.json');
    expect(since.map(({ got }) => got)).toEqual([null, null, null, null]);
  });
});
