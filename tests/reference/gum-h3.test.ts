import { describe, expect, it } from 'vitest';
import { solveLinear } from '../../src/fit/least-squares.js';
import { fixture, halfUnit } from './fixture.js';

interface Calibration {
  readonly reading: readonly number[];
  readonly correction: readonly number[];
}

const { reading, correction } = fixture<Calibration>('gum-h3.json');

/** The straight line correction = y1 + y2·(reading − reference), with the scatter's covariance. */
function line(reference: number) {
  const design = reading.map((t) => [1, t - reference]);
  const fit = solveLinear(design, correction);
  const variance = fit.residualSumOfSquares / (reading.length - 2);
  const covariance = fit.unscaledCovariance()!.map((row) => row.map((c) => c * variance));
  const [y1, y2] = [fit.solution[0]!, fit.solution[1]!];
  const [[v1, c12], [, v2]] = covariance as [[number, number], [number, number]];
  return { y1, y2, u1: Math.sqrt(v1), u2: Math.sqrt(v2), c12, variance };
}

/*
 * JCGM 100:2008, annex H.3: calibration of a thermometer. Printed results: y1 = −0.1712 °C with
 * u 0.0029, y2 = 0.00218 with u 0.00067, r = −0.930, s = 0.0035 °C, b(30 °C) = −0.1494 °C with
 * u 0.0041.
 */
describe('JCGM 100:2008 H.3', () => {
  it('gives the printed line, its uncertainties and their correlation', () => {
    const { y1, y2, u1, u2, c12, variance } = line(20);
    expect(Math.abs(y1 - -0.1712)).toBeLessThan(halfUnit(4));
    expect(Math.abs(u1 - 0.0029)).toBeLessThan(halfUnit(4));
    expect(Math.abs(y2 - 0.00218)).toBeLessThan(halfUnit(5));
    expect(Math.abs(u2 - 0.00067)).toBeLessThan(halfUnit(5));
    expect(Math.abs(c12 / (u1 * u2) - -0.93)).toBeLessThan(halfUnit(3));
    expect(Math.abs(Math.sqrt(variance) - 0.0035)).toBeLessThan(halfUnit(4));
  });

  it('gives the printed correction at 30 °C with its uncertainty', () => {
    const { y1, y2, u1, u2, c12 } = line(20);
    expect(Math.abs(y1 + 10 * y2 - -0.1494)).toBeLessThan(halfUnit(4));
    const u = Math.sqrt(u1 ** 2 + 100 * u2 ** 2 + 20 * c12);
    expect(Math.abs(u - 0.0041)).toBeLessThan(halfUnit(4));
  });

  it('has no correlation when counted from the mean reading (H.3.5, figures from memory)', () => {
    const { y1, u1, u2, c12 } = line(24.0085);
    expect(Math.abs(y1 - -0.1625)).toBeLessThan(halfUnit(4));
    expect(Math.abs(u1 - 0.0011)).toBeLessThan(halfUnit(4));
    expect(Math.abs(c12 / (u1 * u2))).toBeLessThan(1e-4);
  });
});
