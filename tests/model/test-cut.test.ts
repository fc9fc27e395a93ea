import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Cut, Reading } from '../../src/boards/reading.js';
import { NO_INSTRUMENTS } from '../../src/model/instruments.js';
import { testCutModel } from '../../src/model/test-cut.js';
import { benchMachine } from '../machines.js';

function reading(cut: Cut, knife: string, x: number, board = 'H1'): Reading {
  const none = { setting: null, run: null, scoop: null, length: null, repeat: null };
  const place = { file: 'a.csv', line: 2, board, knife, cut, x, y: 100, thickness: 20 };
  return { ...place, ...none, by: null, scale: null, note: null };
}

const thicknessAlone = { scoops: [], instruments: NO_INSTRUMENTS };
const readings = [
  ...['1', '2', '3', '4'].flatMap((knife) => [40, 200, 480].map((x) => reading('hand', knife, x))),
  ...[40, 130, 260, 333, 480].map((x) => reading('full', 'all', x, 'F1')),
  ...[60, 400].map((x) => reading('proud', '2', x, 'P1')),
];

describe('the model of a test board', () => {
  it.each(['foretold', 'free'] as const)(
    'has the derivatives of its values (full boards %s)',
    (fullCut) => {
      const model = testCutModel(benchMachine(), { readings, ...thicknessAlone }, fullCut);
      const { size } = model.layout;
      fc.assert(
        fc.property(
          fc.array(fc.double({ min: -0.1, max: 0.1, noNaN: true }), {
            minLength: size,
            maxLength: size,
          }),
          (values) => {
            const at = Float64Array.from(values);
            readings.forEach((_, index) => {
              const gradient = model.gradient(at, index);
              for (let j = 0; j < size; j++) {
                const slope = (step: number) => {
                  const moved = at.slice();
                  moved[j]! += step;
                  return (model.predict(moved, index) - model.predict(at, index)) / step;
                };
                // At a kink of the crest the slopes to both sides differ, and the derivative is
                // that of one of the knives that meet there.
                const slopes = [slope(1e-6), slope(-1e-6)];
                const isKink = Math.abs(slopes[0]! - slopes[1]!) > 1e-4;
                if (!isKink) expect(gradient[j]).toBeCloseTo(slopes[0]!, 4);
              }
            });
          },
        ),
        { numRuns: 30 },
      );
    },
  );

  it('takes no notice of a common height, which the gap absorbs', () => {
    const model = testCutModel(benchMachine(), { readings, ...thicknessAlone }, 'foretold');
    // Contrasts leave out the common height, slope and bow: N − 1 of each.
    const { at, size } = model.layout;
    expect(at.slope - at.height).toBe(3);
    expect(at.node - at.bow).toBe(3);
    expect(size).toBe(at.node);
  });

  it('has a bow only from three stations up', () => {
    const two = readings.filter(({ x, cut }) => cut === 'hand' && x !== 200);
    const model = testCutModel(benchMachine(), { readings: two, ...thicknessAlone }, 'foretold');
    expect(model.layout.bows).toBe(false);
    expect(model.priors.map(({ kind }) => kind)).toEqual(['bed-lock']);
  });
});
