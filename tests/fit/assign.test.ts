import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { assignToPattern } from '../../src/fit/assign.js';

const WIDTHS = [1, 2.5, 1.7];
const PERIOD = 5.2;
const SD = 0.05;

/** Where the pattern has its points: turn by turn, from a start. */
function exact(turns: number, widths: readonly number[] = WIDTHS, start = 100): number[] {
  const points: number[] = [];
  let at = start;
  for (let i = 0; i < turns * widths.length; i++) {
    points.push(at);
    at += widths[i % widths.length]!;
  }
  return points;
}

/** How many slots each place lies beyond the first. */
function steps(places: ReturnType<typeof assignToPattern>['places'], slots: number) {
  const along = places.map((place) => place && place.turn * slots + place.slot);
  const first = along.find((at) => at !== null)!;
  return along.map((at) => at && at - first);
}

describe('points assigned to the slots of a pattern', () => {
  it('follow each other where all are there, and cost nothing', () => {
    const { cost, places, doubled } = assignToPattern(exact(4), WIDTHS, SD);
    expect(cost).toBeCloseTo(0, 9);
    expect(places.map((place) => place!.slot)).toEqual([0, 1, 2, 0, 1, 2, 0, 1, 2, 0, 1, 2]);
    expect(places.map((place) => place!.turn)).toEqual([0, 0, 0, 1, 1, 1, 2, 2, 2, 3, 3, 3]);
    expect(doubled).toEqual([]);
  });

  it('may begin in any slot', () => {
    const { places } = assignToPattern(exact(3).slice(2), WIDTHS, SD);
    expect(places.map((place) => place!.slot)).toEqual([2, 0, 1, 2, 0, 1, 2]);
    expect(places[0]!.turn).toBe(0);
    expect(places[1]!.turn).toBe(1);
  });

  it('pass over places that were missed, up to three in a row', () => {
    const points = exact(6);
    for (const missed of [[4], [4, 5], [4, 5, 6], [4, 9], [1, 7, 12]]) {
      const seen = points.flatMap((_, i) => (missed.includes(i) ? [] : [i]));
      const { places, doubled } = assignToPattern(
        seen.map((i) => points[i]!),
        WIDTHS,
        SD,
      );
      expect(steps(places, 3)).toEqual(seen);
      expect(doubled).toEqual([]);
    }
  });

  it('cost as much more for two missed apart as for each of them', () => {
    const points = exact(6);
    const without = (...missed: number[]) =>
      assignToPattern(
        points.filter((_, i) => !missed.includes(i)),
        WIDTHS,
        SD,
      ).cost;
    expect(without(4)).toBeGreaterThan(1);
    expect(without(4, 10)).toBeCloseTo(without(4) + without(10), 9);
  });

  it('are told from those that stand in the same place twice', () => {
    const points = exact(5);
    const again = [...points, points[7]! + 0.04].sort((a, b) => a - b);
    const { places, doubled } = assignToPattern(again, WIDTHS, SD);
    expect(doubled).toEqual([8]);
    expect(places[8]).toBeNull();
    expect(places.filter((place) => place === null)).toHaveLength(1);
  });

  it('are told from those that stand where the pattern has none', () => {
    const points = exact(5);
    for (const at of [0, 3, 7, 14]) {
      const stray = points[at]! + 0.55;
      const all = [...points, stray].sort((a, b) => a - b);
      const { places } = assignToPattern(all, WIDTHS, SD);
      expect(places[all.indexOf(stray)]).toBeNull();
      expect(places.filter((place) => place === null)).toHaveLength(1);
    }
  });

  it('are passed over before the first and behind the last that belongs', () => {
    const points = [98.9, ...exact(4), 100 + 4 * PERIOD + 0.5];
    const { places } = assignToPattern(points, WIDTHS, SD);
    expect(places[0]).toBeNull();
    expect(places.at(-1)).toBeNull();
    expect(places.filter((place) => place === null)).toHaveLength(2);
  });

  it('are the same wherever the board begins, and in other units', () => {
    const scatters = fc.array(fc.double({ min: -0.1, max: 0.1, noNaN: true }), {
      minLength: 15,
      maxLength: 15,
    });
    fc.assert(
      fc.property(
        scatters,
        fc.integer({ min: 0, max: 5000 }),
        fc.constantFrom(0.25, 4, 16),
        (scatter, shift, unit) => {
          const points = exact(5).map((at, i) => at + scatter[i]!);
          const here = assignToPattern(points, WIDTHS, SD);
          const there = assignToPattern(
            points.map((at) => (at + shift) * unit),
            WIDTHS.map((width) => width * unit),
            SD * unit,
          );
          expect(there.places).toEqual(here.places);
          expect(there.cost).toBeCloseTo(here.cost, 5);
        },
      ),
      { numRuns: 60 },
    );
  });

  it('have no place for no points, and any for one', () => {
    expect(assignToPattern([], WIDTHS, SD).places).toEqual([]);
    expect(assignToPattern([3], WIDTHS, SD)).toMatchObject({ cost: 0, doubled: [] });
  });
});
