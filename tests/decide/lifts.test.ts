import { describe, expect, it } from 'vitest';
import { isInStock, liftsWithin } from '../../src/decide/lifts.js';
import type { ShimAdjusters } from '../../src/machine/machine.js';

const shims: ShimAdjusters = {
  kind: 'shim',
  at: [40, 480],
  names: ['front', 'back'],
  stock: [
    { thickness: 0.1, count: null },
    { thickness: 0.05, count: 2 },
    { thickness: 0.02, count: null },
  ],
  most: 2,
};

describe('lifts by shims', () => {
  it('are the sums of at most so many pieces, each by the fewest', () => {
    const lifts = liftsWithin(shims, 0, 1);
    expect(lifts.map(({ lift }) => Number(lift.toFixed(3)))).toEqual([
      0.02, 0.04, 0.05, 0.07, 0.1, 0.12, 0.15, 0.2,
    ]);
    // 0.1 is one piece, not two of 0.05.
    expect(lifts.find(({ lift }) => Math.abs(lift - 0.1) < 1e-9)!.shims).toEqual([0.1]);
  });

  it('share one stock', () => {
    const two = liftsWithin(shims, 0.05, 0.05)[0]!;
    expect(isInStock(shims, [two, null], [two, null])).toBe(true);
    expect(isInStock(shims, [two, two], [two, null])).toBe(false);
  });
});
