import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { stationsOf } from '../../src/model/stations.js';

const at = (...xs: number[]) => xs.map((x) => ({ x }));

describe('stations', () => {
  it('are positions that differ by more than a hundredth of the span', () => {
    expect(stationsOf(at(480, 40, 260), 440)).toEqual([40, 260, 480]);
    expect(stationsOf(at(40, 44, 260, 261, 480), 440)).toEqual([40, 260, 480]);
    expect(stationsOf(at(40, 45), 440)).toEqual([40, 45]);
    expect(stationsOf([], 440)).toEqual([]);
  });

  it('do not depend on the order of readings, and every reading has one near it', () => {
    const positions = fc.array(fc.double({ min: 0, max: 520, noNaN: true }), { maxLength: 30 });
    fc.assert(
      fc.property(positions, (xs) => {
        const stations = stationsOf(at(...xs), 440);
        expect(stationsOf(at(...xs.toReversed()), 440)).toEqual(stations);
        for (const x of xs) {
          const nearest = Math.min(...stations.map((station) => Math.abs(station - x)));
          expect(nearest).toBeLessThanOrEqual(4.4);
        }
        stations.slice(1).forEach((x, i) => {
          expect(x - stations[i]!).toBeGreaterThan(4.4);
        });
      }),
    );
  });
});
