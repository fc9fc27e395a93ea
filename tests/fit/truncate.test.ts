import { describe, expect, it } from 'vitest';
import { dot } from '../../src/fit/decomposition.js';
import { solveLinear } from '../../src/fit/least-squares.js';
import { type Truncation, truncationRows } from '../../src/fit/truncate.js';
import { fixture } from '../reference/fixture.js';
import { type Random, seeded } from '../workshop/random.js';

interface Moments {
  readonly moments: readonly {
    readonly reach: number;
    readonly mean: number;
    readonly sd: number;
  }[];
}

/** Mean and standard deviation of each truncated quantity once the rows are in the fit. */
function cutOff(truncations: readonly Truncation[]): { mean: number; sd: number }[] {
  const size = truncations[0]!.factor.length;
  // The quantities are value + factor · z with z standard normal: a prior row for each z.
  const unit = (j: number) => Array.from({ length: size }, (_, i) => (i === j ? 1 : 0));
  const design: number[][] = Array.from({ length: size }, (_, j) => unit(j));
  const rhs: number[] = design.map(() => 0);
  truncationRows(truncations).forEach((row, i) => {
    if (!row) return;
    const { factor, value } = truncations[i]!;
    design.push(Array.from(factor, (share) => share / row.sd));
    rhs.push((row.value - value) / row.sd);
  });
  const fit = solveLinear(design, rhs);
  const covariance = fit.unscaledCovariance()!;
  return truncations.map(({ factor, value }) => ({
    mean: value + dot(factor, fit.solution),
    sd: Math.sqrt(
      dot(
        factor,
        covariance.map((row) => dot(row, factor)),
      ),
    ),
  }));
}

/** The same by drawing z until no quantity is above its limit. */
function byRejection(truncations: readonly Truncation[], wanted: number, random: Random) {
  const size = truncations[0]!.factor.length;
  const sums = truncations.map(() => 0);
  const squares = truncations.map(() => 0);
  for (let found = 0; found < wanted; ) {
    const z = Array.from({ length: size }, () => random.normal(1));
    const values = truncations.map(({ value, factor }) => value + dot(factor, z));
    if (values.some((value, i) => value > truncations[i]!.atMost)) continue;
    found++;
    values.forEach((value, i) => {
      sums[i]! += value;
      squares[i]! += value * value;
    });
  }
  return truncations.map((_, i) => {
    const mean = sums[i]! / wanted;
    return { mean, sd: Math.sqrt(squares[i]! / wanted - mean * mean) };
  });
}

describe('one limit', () => {
  // Johnson, Kotz and Balakrishnan 1994, chapter 13: the doubly truncated normal distribution.
  it.each(fixture<Moments>('truncated-normal.json').moments)(
    'leaves mean and standard deviation of a normal number cut off at $reach',
    ({ reach, mean, sd }) => {
      const [found] = cutOff([{ value: 0, factor: Float64Array.of(1), atMost: reach }]);
      expect(found!.mean).toBeCloseTo(mean, 9);
      expect(Math.abs(found!.sd / sd - 1)).toBeLessThan(1e-7);
    },
  );

  it('does so whatever the quantity and its unit', () => {
    const plain = cutOff([{ value: 0, factor: Float64Array.of(1), atMost: -0.5 }])[0]!;
    const micrometres = cutOff([
      { value: 0.012, factor: Float64Array.of(0.003, 0.004), atMost: 0.0095 },
    ])[0]!;
    expect(micrometres.mean).toBeCloseTo(0.012 + 0.005 * plain.mean, 9);
    expect(micrometres.sd).toBeCloseTo(0.005 * plain.sd, 9);
  });

  it('changes nothing where it is far away', () => {
    expect(truncationRows([{ value: 0, factor: Float64Array.of(1), atMost: 6 }])).toEqual([null]);
    expect(truncationRows([{ value: -1, factor: Float64Array.of(1e-3), atMost: 0 }])).toEqual([
      null,
    ]);
  });

  it('is never a measurement of the limit: the row lies below it', () => {
    for (const value of [-3, -1, 0, 1, 3, 10]) {
      const [row] = truncationRows([{ value, factor: Float64Array.of(1), atMost: 0 }]);
      expect(row!.value).toBeLessThan(0);
      expect(row!.sd).toBeGreaterThan(0);
    }
  });

  it('needs no quantity at all', () => {
    expect(truncationRows([])).toEqual([]);
  });
});

describe('several limits', () => {
  it('are each by itself where the quantities have nothing to do with each other', () => {
    const factors = [Float64Array.of(2, 0, 0), Float64Array.of(0, 1, 0), Float64Array.of(0, 0, 3)];
    const apart = factors.map((factor, i) => ({ value: i, factor, atMost: 0.5 }));
    const together = cutOff(apart);
    apart.forEach((each, i) => {
      const [alone] = cutOff([each]);
      expect(together[i]!.mean).toBeCloseTo(alone!.mean, 8);
      expect(together[i]!.sd).toBeCloseTo(alone!.sd, 8);
    });
  });

  it('come near to what drawing at random leaves of correlated quantities', () => {
    const random = seeded(20260301);
    for (let round = 0; round < 6; round++) {
      const truncations = Array.from({ length: 3 }, () => ({
        value: random.normal(1),
        factor: Float64Array.from({ length: 4 }, () => random.normal(0.7)),
        atMost: 0.8 * random.uniform(),
      }));
      const drawn = byRejection(truncations, 20_000, random);
      cutOff(truncations).forEach(({ mean, sd }, i) => {
        const before = Math.sqrt(dot(truncations[i]!.factor, truncations[i]!.factor));
        expect(Math.abs(mean - drawn[i]!.mean)).toBeLessThan(0.04 * before);
        expect(Math.abs(sd / drawn[i]!.sd - 1)).toBeLessThan(0.1);
      });
    }
  });

  it('do not depend on their order', () => {
    const truncations = [
      { value: 0.3, factor: Float64Array.of(1, 0.4, 0), atMost: 0 },
      { value: -0.2, factor: Float64Array.of(0.5, -1, 0.3), atMost: 0.1 },
      { value: 0.1, factor: Float64Array.of(0.2, 0.2, 1), atMost: -0.4 },
    ];
    const turned = cutOff(truncations.toReversed()).toReversed();
    cutOff(truncations).forEach(({ mean, sd }, i) => {
      expect(turned[i]!.mean).toBeCloseTo(mean, 7);
      expect(turned[i]!.sd).toBeCloseTo(sd, 7);
    });
  });

  it('leave one that is far away out, and keep the others as they were', () => {
    const near = { value: 0, factor: Float64Array.of(1, 0.5), atMost: 0.2 };
    const far = { value: 0, factor: Float64Array.of(0.3, -1), atMost: 40 };
    const rows = truncationRows([near, far]);
    expect(rows[1]).toBeNull();
    const [alone] = truncationRows([near]);
    expect(rows[0]!.value).toBeCloseTo(alone!.value, 12);
    expect(rows[0]!.sd).toBeCloseTo(alone!.sd, 12);
  });
});
