import { describe, expect, it } from 'vitest';
import { surfaceDepth } from './cutting.js';
import {
  carryRule,
  carryText,
  chordAbove,
  gaugeEdges,
  gaugeText,
  tableBelowAll,
  USUAL_INDICATOR,
  USUAL_RULE,
} from './indicator.js';
import { type Labels, type Loupe, marksText, readRidges, USUAL_LOUPE } from './loupe.js';
import { feedingOf, ridgesOf, showsFrom, type TrueRidge, trulyShowing } from './planing.js';
import { seeded } from './random.js';
import { drawShop, edgeAt, type Shop, shopWith, type TrueKnife } from './shop.js';

function knife(id: string, front: number, back = front): TrueKnife {
  return { id, front, back, bow: 0, response: [0, 0] };
}

/** A block with arcs of the given radius once the trochoid's flatness is counted in. */
function shopOf(
  arcRadius: number,
  feedPerKnife: number,
  heights: readonly number[],
  angles?: readonly number[],
): Shop {
  const knives = heights.map((height, k) => knife(String(k + 1), height));
  const period = feedPerKnife * heights.length;
  const rest = { radius: arcRadius - period / Math.PI, speed: 1000, feedSpeed: period * 1000 };
  return shopWith(knives, angles ? { ...rest, angles } : rest);
}

function evenRidges(shop: Shop, revolutions = 10, from = 0): TrueRidge[] {
  const feeding = feedingOf(shop, {}, seeded(1));
  return ridgesOf(shop, 40, { from, revolutions, feeding });
}

function widths(ridges: readonly TrueRidge[]): number[] {
  return ridges.slice(1).map(({ y }, i) => y - ridges[i]!.y);
}

describe('ridges of a planed board', () => {
  /* Parabolic arcs of radius 62.5 mm, a mark a millimetre: the low knife's mark and the higher ridge. */
  it.each([
    [0, 1, 2],
    [0.001, 0.875, 2.531],
    [0.002, 0.75, 3.125],
    [0.004, 0.5, 4.5],
  ])('stand where two knives leave them, one %d mm low', (low, width, micrometres) => {
    const ridges = evenRidges(shopOf(62.5, 1, [0, -low]));
    const low1 = ridges.findIndex((ridge, i) => ridge.knife === 1 && i > 2);
    expect(ridges[low1 + 1]!.y - ridges[low1]!.y).toBeCloseTo(width, 4);
    expect(ridges[low1]!.z * 1000).toBeCloseTo(micrometres, 2);
  });

  it('are one a revolution once the other knife is 8 µm low', () => {
    const ridges = evenRidges(shopOf(62.5, 1, [0, -0.00801]));
    expect(new Set(ridges.map((ridge) => ridge.knife))).toEqual(new Set([0]));
    for (const width of widths(ridges)) expect(width).toBeCloseTo(2, 9);
  });

  it('lie where the surface, followed in another way, has its corners', () => {
    const random = seeded(11);
    for (let i = 0; i < 20; i++) {
      const shop = shopOf(
        48,
        1.3,
        Array.from({ length: 2 + (i % 4) }, () => random.normal(0.006)),
      );
      const edges = shop.knives.map((each) => shop.radius + edgeAt(shop, each, 40));
      const period = 1.3 * edges.length;
      for (const { y, z } of evenRidges(shop, 2)) {
        expect(shop.radius - surfaceDepth(shop, edges, y)).toBeCloseTo(z, 11);
        // a ridge is a corner: on either side the surface falls away by how fast the paths part
        const [before, after] = [y - 1e-4, y + 1e-4].map((near) => surfaceDepth(shop, edges, near));
        expect(before! + after! - 2 * (shop.radius - z)).toBeGreaterThan(2e-6);
        expect(shop.radius - surfaceDepth(shop, edges, y + period)).toBeCloseTo(z, 11);
      }
    }
  });

  it('come in the order of the knives, and repeat every revolution to a picometre', () => {
    const ridges = evenRidges(shopOf(48, 1.3, [0.001, 0, -0.001]), 6);
    const order = ridges.map((ridge) => ridge.knife).join('');
    expect('012'.repeat(8)).toContain(order);
    for (let i = 3; i < ridges.length; i++) {
      expect(Math.abs(ridges[i]!.y - ridges[i - 3]!.y - 3.9)).toBeLessThan(1e-11);
    }
  });

  it('follow knives that are not evenly spaced', () => {
    // equal knives part midway: marks as wide as half the gaps beside them
    const ridges = evenRidges(shopOf(48, 1, [0, 0, 0], [0, 90, 200]));
    const first = ridges.findIndex((ridge) => ridge.knife === 0);
    const [a, b, c] = widths(ridges.slice(first));
    expect([a, b, c].map((width) => width! * 120)).toEqual(
      [(160 + 90) / 2, (90 + 110) / 2, (110 + 160) / 2].map((width) => expect.closeTo(width, 8)),
    );
  });

  it('spread with a growing feed, draw close where the board slips, scatter where it wavers', () => {
    const shop = shopOf(48, 4, [0]);
    const from = 100;
    const along = (uneven: Parameters<typeof feedingOf>[1]) =>
      widths(
        ridgesOf(shop, 40, { from, revolutions: 12, feeding: feedingOf(shop, uneven, seeded(5)) }),
      );
    const growing = along({ drift: 0.01 });
    expect(growing.at(-1)! - growing[0]!).toBeCloseTo(0.04 * (growing.length - 1), 6);
    const slipping = along({ slip: { at: 5.2, by: 1 } });
    expect(Math.min(...slipping)).toBeLessThan(3.6);
    expect(slipping.reduce((sum, width) => sum + Math.min(0, width - 4), 0)).toBeCloseTo(-1, 6);
    const wavering = along({ waver: 0.02 });
    const sd = Math.sqrt(
      wavering.reduce((sum, width) => sum + (width - 4) ** 2, 0) / wavering.length,
    );
    expect(sd).toBeGreaterThan(0.02);
    expect(sd).toBeLessThan(0.16);
  });

  it('tell from what height on a knife shows between its neighbours', () => {
    // p²/(2R) below two equal neighbours
    const shop = shopOf(48, 1.3, [0, -0.05, 0, 0]);
    expect(showsFrom(shop, 40, 1)).toBeCloseTo(-(1.3 ** 2) / 96, 5);
    expect(trulyShowing(shop, 40)).toEqual(new Set([0, 2, 3]));
    const alone = shopOf(48, 1, [0, -1, -1]);
    expect(showsFrom(alone, 40, 1)).toBeCloseTo(-2 / 96, 5);
  });

  it('tell it to a nanometre, whatever the block', () => {
    const random = seeded(12);
    for (let i = 0; i < 40; i++) {
      const heights = Array.from({ length: 3 }, () => random.normal(0.01));
      const angles = [0, 100 + 40 * random.uniform(), 220 + 40 * random.uniform()];
      const at = i % 3;
      const from = showsFrom(shopOf(48, 1.3, heights, angles), 40, at);
      const shows = (height: number) =>
        trulyShowing(shopOf(48, 1.3, heights.with(at, height), angles), 40).has(at);
      expect([shows(from - 1e-6), shows(from + 1e-6)]).toEqual([false, true]);
    }
  });
});

describe('ridges as they are written down', () => {
  const ridges = evenRidges(shopOf(48, 4 / 3, [0.002, 0, -0.003]), 400);
  const ids = ['1', '2', '3'];
  const read = (loupe: Partial<Loupe>, seed = 3) =>
    readRidges({ ...USUAL_LOUPE, ...loupe }, { board: 'F1', x: 40 }, ridges, ids, seeded(seed));

  it('scatter by the noise, or by rounding alone', () => {
    const spread = (loupe: Partial<Loupe>) => {
      const errors = read(loupe).map(({ y }, i) => Number(y) - ridges[i]!.y);
      return Math.sqrt(errors.reduce((sum, error) => sum + error ** 2, 0) / errors.length);
    };
    expect(spread({})).toBeGreaterThan(0.045);
    expect(spread({})).toBeLessThan(0.055);
    expect(spread({ noiseSd: 0, resolution: 0.05 })).toBeLessThan(0.0251);
    expect(read({ noiseSd: 0, resolution: 0.05 })[1]!.y).toMatch(/^\d+\.\d[05]$/);
  });

  it('are missed, doubled and misread as often as told, and it is known which', () => {
    expect(read({ missRate: 0.1 }).length / ridges.length).toBeCloseTo(0.9, 1);
    const doubled = read({ doubleRate: 0.1 }).filter(({ wrong }) => wrong === 'doubled');
    expect(doubled.length / ridges.length).toBeCloseTo(0.1, 1);
    const misread = read({ misreads: 7, noiseSd: 0 }).flatMap(({ wrong, y }, i) =>
      wrong === 'misread' ? [Math.abs(Number(y) - ridges[i]!.y)] : [],
    );
    expect(misread).toHaveLength(7);
    for (const off of misread) expect(Math.abs(off - 0.5)).toBeLessThan(0.006);
  });

  it('run together where a mark is too narrow to be seen', () => {
    const narrow = evenRidges(shopOf(62.5, 1, [0, -0.0078]), 5);
    expect(Math.min(...widths(narrow))).toBeLessThan(0.1);
    const place = { board: 'F1', x: 40 };
    const seen = readRidges(USUAL_LOUPE, place, narrow, ids, seeded(2));
    expect(new Set(seen.map((row) => row.knife))).toEqual(new Set(['1']));
  });

  it.each<[Labels, (labels: string, rows: number) => boolean]>([
    ['all', (labels, rows) => '123'.repeat(rows).includes(labels) && labels.length === rows],
    ['none', (labels) => labels === ''],
    ['some', (labels, rows) => labels.length > 0.2 * rows && labels.length < 0.4 * rows],
    ['backwards', (labels, rows) => '321'.repeat(rows).includes(labels) && labels.length === rows],
    ['one wrong', (labels, rows) => !'123'.repeat(rows).includes(labels) && labels.length === rows],
  ])('carry labels: %s', (labels, holds) => {
    const rows = read({ labels });
    expect(holds(rows.map((row) => row.knife).join(''), rows.length)).toBe(true);
  });

  it('make a text with a column for labels only where there are any', () => {
    expect(marksText(read({}), ['invented']).split('\n').slice(0, 2)).toEqual([
      '# invented',
      'board,x,y,knife',
    ]);
    expect(marksText(read({ labels: 'none' }))).toMatch(/^board,x,y\nF1,40,-?[\d.]+\n/);
  });
});

describe('a dial indicator on the bed', () => {
  const quiet = { ...USUAL_INDICATOR, noiseSd: 0, resolution: 1e-6, runoutSd: 0, missSd: 0 };
  const shop = shopWith([knife('1', 0.02, 0.05), knife('2', -0.02, -0.05)], { tilt: 0.06 });

  it('reads the edges against each other, and the axis over the bed', () => {
    const rows = gaugeEdges(shop, [40, 480], { ...quiet, repeats: 1 }, seeded(4));
    const [front1, front2, back1, back2] = rows.map(({ reading }) => Number(reading));
    expect(front1! - front2!).toBeCloseTo(0.04, 5);
    expect(back1! - back2!).toBeCloseTo(0.1, 5);
    // knife 1 comes 0.03 farther out at the back, where the axis is 0.06 farther off
    expect(back1! - front1!).toBeCloseTo(-0.03, 5);
  });

  it('finds the body’s slope alone in rows of the body', () => {
    const rows = gaugeEdges(shop, [40, 480], { ...quiet, body: true, repeats: 1 }, seeded(4));
    const body = rows.filter((row) => row.knife === 'body').map(({ reading }) => Number(reading));
    expect(body[1]! - body[0]!).toBeCloseTo(-0.06, 5);
  });

  it('never reads too much for missing the extreme', () => {
    const exact = gaugeEdges(shop, [40, 480], quiet, seeded(4));
    const missing = gaugeEdges(shop, [40, 480], { ...quiet, missSd: 1 }, seeded(4));
    const less = missing.map(({ reading }, i) => Number(exact[i]!.reading) - Number(reading));
    expect(Math.min(...less)).toBeGreaterThanOrEqual(0);
    expect(Math.max(...less)).toBeGreaterThan(0.001);
  });

  it('has as many zeros as told, and a column for them', () => {
    const rows = gaugeEdges(shop, [40, 480], { ...quiet, zeros: 'each x', repeats: 1 }, seeded(4));
    expect(rows.map(({ zero }) => zero)).toEqual(['at 40', 'at 40', 'at 480', 'at 480']);
    expect(gaugeText(rows)).toMatch(/^knife,x,reading,zero\n1,40,-?[\d.]+,at 40\n/);
    expect(gaugeText(gaugeEdges(shop, [40], quiet, seeded(4)))).toMatch(/^knife,x,reading\n/);
  });
});

describe('a rule carried along the outfeed table', () => {
  it('goes the chord that the table cuts off the circle', () => {
    // 60² − 59.9² = 11.99, 2·√11.99 = 6.9253
    expect(chordAbove(60, 0.1)).toBeCloseTo(6.9253, 4);
    expect(chordAbove(60, 0)).toBe(0);
    expect(chordAbove(60, -0.1)).toBe(0);
  });

  it('stays where the edge is below the table, and comes less far where it slips', () => {
    const shop = drawShop(seeded(9), 4);
    const quiet = { ...USUAL_RULE, noiseSd: 0, resolution: 0.001 };
    const xs = [40, 480];
    const high = carryRule(shop, xs, { ...quiet, table: 1 }, seeded(1));
    expect(new Set(high.map(({ carry }) => carry))).toEqual(new Set(['0']));
    const table = tableBelowAll(shop, xs, 0.01);
    const all = carryRule(shop, xs, { ...quiet, table }, seeded(1)).map((row) => Number(row.carry));
    expect(Math.min(...all)).toBeGreaterThan(1.5);
    const slipping = carryRule(shop, xs, { ...quiet, table, slipSd: 0.05 }, seeded(1));
    slipping.forEach(({ carry }, i) => {
      expect(Number(carry)).toBeLessThan(all[i]!);
    });
    expect(carryText(slipping)).toMatch(/^knife,x,carry\n1,40,[\d.]+\n/);
  });
});
