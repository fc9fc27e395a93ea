import { describe, expect, it } from 'vitest';
import { dot } from '../../src/fit/decomposition.js';
import { knifeHeights, layOut } from '../../src/model/layout.js';
import { priorRows } from '../../src/model/priors.js';
import { benchMachine } from '../machines.js';
import { seeded } from '../workshop/random.js';

const parts = {
  levels: [{ setting: null, kind: 'hand' as const }],
  boards: ['a', 'b'],
  nodes: [],
  references: ['table level'],
};

function priorsOf(bows: boolean, repeatability: number | null) {
  const bench = benchMachine();
  const machine = { ...bench, bed: { ...bench.bed, repeatability } };
  const layout = layOut(machine, { ...parts, bows });
  return { layout, rows: priorRows(machine, layout) };
}

describe('what is known beforehand', () => {
  it('is that each knife is straight to 0.02 mm: its middle against the line through its ends', () => {
    const { layout, rows } = priorsOf(true, 0.005);
    const bows = rows.filter(({ kind }) => kind === 'bow');
    expect(bows.map(({ value, sd }) => [value, sd])).toEqual([0, 1, 2, 3].map(() => [0, 0.02]));
    const random = seeded(1);
    const parameters = Float64Array.from({ length: layout.size }, () => random.normal(1));
    const [front, middle, back] = [40, 260, 480].map((x) => knifeHeights(layout, parameters, x));
    bows.forEach(({ combination }, knife) => {
      const line = (front![knife]! + back![knife]!) / 2;
      expect(dot(combination, parameters)).toBeCloseTo(middle![knife]! - line, 12);
    });
  });

  it('is the bed’s lock, one row a board, where the machine’s owner knows it', () => {
    const { layout, rows } = priorsOf(false, 0.005);
    expect(rows.map(({ kind, value, sd }) => [kind, value, sd])).toEqual([
      ['bed-lock', 0, 0.005],
      ['bed-lock', 0, 0.005],
    ]);
    rows.forEach(({ combination }, board) => {
      const spoken = [...combination].flatMap((share, j) => (share === 0 ? [] : [[j, share]]));
      expect(spoken).toEqual([[layout.at.board + board, 1]]);
    });
    expect(priorsOf(false, null).rows).toEqual([]);
  });
});
