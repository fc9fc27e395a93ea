import { describe, expect, it } from 'vitest';
import { analyse } from '../../src/pipeline/analyse.js';

const MACHINE = `
name = "Invented thicknesser"
[block]
knives = ["1", "2"]
cutting_diameter = 120
length = 520
[adjusters]
kind = "screw"
at = [40, 480]
thread = "M6"
raised_by = "anticlockwise"
finest_turn = "1/16"
`;

async function resultOf(rows: readonly string[], machine = MACHINE) {
  const content = (text: string) => new TextEncoder().encode(text);
  const csv = ['board,knife,x,y,thickness', ...rows, ''].join('\n');
  const { result, notices } = await analyse(
    { name: 'machine.toml', content: content(machine) },
    [{ name: 'boards.csv', content: content(csv) }],
    { date: new Date(0) },
  );
  if (!result) throw new Error(notices.map(({ message }) => message).join('\n'));
  return result;
}

const codes = ({ notices }: Awaited<ReturnType<typeof resultOf>>) =>
  notices.map(({ code }) => code);

describe('what the boards cannot carry', () => {
  it('knows no knife from places a millimetre apart, and no taper without full boards', async () => {
    const rows = [250, 251, 250].flatMap((x, i) => [
      `A,1,${x},${10 + 40 * i},20.01`,
      `A,2,${x},${20 + 40 * i},20.05`,
    ]);
    const result = await resultOf(rows);
    expect(result.knives.flatMap(({ ends }) => ends.map(({ offset }) => offset))).toEqual([
      null,
      null,
      null,
      null,
    ]);
    expect(result.board.taper).toBeNull();
    expect(result.moves).toEqual([]);
    expect(codes(result)).toContain('next-board');
  });

  it('turns no screw on heights that are known worse than the tolerance', async () => {
    const rows = [250, 275, 300].flatMap((x, i) => [
      `A,1,${x},${10 + 40 * i},20.0${i}`,
      `A,2,${x},${20 + 40 * i},20.04`,
    ]);
    const result = await resultOf(rows);
    expect(
      Math.max(...result.knives.flatMap(({ ends }) => ends.map(({ U }) => U!))),
    ).toBeGreaterThan(0.05);
    expect(result.moves).toEqual([]);
    expect(result.expected.worstEnd).toBeGreaterThan(0);
    expect(codes(result)).toContain('heights-too-uncertain');
  });
});

describe('a bowed knife', () => {
  it('is told of where both its ends are inside and its middle is not', async () => {
    const rows: string[] = [];
    for (let round = 0; round < 4; round++) {
      for (const x of [40, 150, 260, 370, 480]) {
        const bow = 0.15 * (1 - ((x - 260) / 220) ** 2);
        rows.push(`A,1,${x},${round * 100},${(20 + 0.002 * round).toFixed(2)}`);
        rows.push(`A,2,${x},${round * 100 + 20},${(20 - bow).toFixed(2)}`);
      }
    }
    const result = await resultOf(rows);
    expect(codes(result)).toContain('middle-outside');
    expect(result.knives[1]!.middle.value).toBeGreaterThan(0.05);
    const middle = result.finish.stations.find(({ x }) => x === 260)!;
    expect(middle.showing).toEqual(['2']);
  });
});

describe('a straight knife that stands proud', () => {
  it('is not called bowed: its end is outside, and the moves mend it', async () => {
    const rows = [0, 1, 2, 3].flatMap((round) =>
      [40, 150, 260, 370, 480].flatMap((x) => [
        `A,1,${x},${round * 100},${(20 + 0.002 * round).toFixed(2)}`,
        `A,2,${x},${round * 100 + 20},${(20 - 0.11 - (0.08 * (x - 40)) / 440).toFixed(2)}`,
      ]),
    );
    const result = await resultOf(rows);
    expect(result.knives[1]!.middle.value).toBeGreaterThan(0.06);
    expect(result.moves.length).toBeGreaterThan(0);
    expect(codes(result)).not.toContain('middle-outside');
  });
});

describe('limits of a knife', () => {
  const limited = (value: number, extra = '') =>
    MACHINE.replace(
      '[adjusters]',
      `max_projection = 1.1\nprojection = { knife = "1", x = 40, value = ${value} }\n[adjusters]${extra}`,
    );
  const equal = [40, 260, 480].flatMap((x, i) =>
    [0, 1, 2].flatMap((round) => [
      `A,1,${x},${round * 100 + i},20.00`,
      `A,2,${x},${round * 100 + 20 + i},20.0${round % 2}`,
    ]),
  );

  it('brings knives down that project too far, however far', async () => {
    const result = await resultOf(equal, limited(1.6));
    expect(result.moves.length).toBe(4);
    for (const { lift } of result.moves) expect(1.6 + lift).toBeLessThanOrEqual(1.1 + 0.02);
  });

  it('leaves knives alone that project less', async () => {
    expect((await resultOf(equal, limited(0.9))).moves).toEqual([]);
  });
});
