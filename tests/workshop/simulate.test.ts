import { describe, expect, it } from 'vitest';
import { misread, USUAL_CALIPER } from './caliper.js';
import { planedThickness, scoopThickness, surfaceDepth, trochoidDepth } from './cutting.js';
import { fullBoards, narrowStrips, twoStrips, wideBoard } from './designs.js';
import { seeded } from './random.js';
import { drawShop, shopWith, type TrueKnife, turnScrews } from './shop.js';
import { measure, truthOf } from './simulate.js';

function knife(id: string, front: number, back = front): TrueKnife {
  return { id, front, back, bow: 0, response: [0, 0] };
}

/** Ridge height and deepest hollow of a planed surface with the feed a knife and heights given. */
function surface(radius: number, feedPerKnife: number, heights: readonly number[]) {
  const knives = heights.map((height, k) => knife(String(k + 1), height));
  const speed = 1000;
  const shop = shopWith(knives, {
    radius,
    speed,
    feedSpeed: feedPerKnife * heights.length * speed,
  });
  const edges = heights.map((height) => radius + height);
  const period = feedPerKnife * heights.length;
  const depths = Array.from({ length: 20_001 }, (_, i) =>
    surfaceDepth(shop, edges, (i / 20_000) * period),
  );
  return { height: Math.max(...depths) - Math.min(...depths) };
}

describe('random numbers', () => {
  it('are the same for the same seed and others for the next', () => {
    const draw = (seed: number) => {
      const random = seeded(seed);
      return [random.uniform(), random.uniform(), random.uniform()];
    };
    expect(draw(7)).toEqual(draw(7));
    expect(draw(7)).not.toEqual(draw(8));
  });

  it('are spread as they should be', () => {
    const random = seeded(1);
    const values = Array.from({ length: 20_000 }, () => random.normal(2));
    const mean = values.reduce((a, b) => a + b, 0) / values.length;
    const sd = Math.sqrt(values.reduce((a, b) => a + (b - mean) ** 2, 0) / values.length);
    expect(Math.abs(mean)).toBeLessThan(0.06);
    expect(Math.abs(sd - 2)).toBeLessThan(0.04);
    const beyond = values.filter((value) => Math.abs(value) > 3.92).length / values.length;
    expect(beyond).toBeGreaterThan(0.045);
    expect(beyond).toBeLessThan(0.055);
  });
});

describe('cutting', () => {
  it('leaves scoops that are circles', () => {
    const shop = shopWith([knife('1', 0.1)], { handGap: 20 });
    const [only] = shop.knives;
    expect(scoopThickness(shop, only!, 40, 0, 0)).toBeCloseTo(19.9, 12);
    // 60.1 − √(60.1² − 2²) and the same with jaws 1 mm wide, whose rim is 2.5 mm off
    expect(scoopThickness(shop, only!, 40, 2, 0) - 19.9).toBeCloseTo(0.033287, 6);
    expect(scoopThickness(shop, only!, 40, -2, 1) - 19.9).toBeCloseTo(0.052019, 6);
  });

  it('follows a trochoid, flatter than its circle by feed a revolution over π', () => {
    const drop = 60 - trochoidDepth(5, 60, 2);
    expect(drop).toBeCloseTo(25 / (2 * (60 + 2 / Math.PI)), 3);
    expect(drop).toBeLessThan(60 - Math.sqrt(60 ** 2 - 25));
  });

  /* Ridges of a planed surface, parabolic: p²/(8R) with R the radius plus a revolution's feed over π. */
  it('leaves ridges of 8.000 µm at 2 mm a knife on a radius of 62.5 mm', () => {
    expect(surface(62.5 - 2 / Math.PI, 2, [0]).height * 1000).toBeCloseTo(8, 2);
  });

  it.each([
    [0, 2],
    [0.001, 2.531],
    [0.002, 3.125],
    [0.004, 4.5],
    [0.008, 8],
  ])('leaves the ridges of two knives, one %d mm low', (low, micrometres) => {
    const found = surface(62.5 - 2 / Math.PI, 1, [0, -low]).height * 1000;
    expect(found).toBeCloseTo(micrometres, 2);
  });

  it('has one knife of three finish alone once the others are 16 µm low', () => {
    const alone = surface(62.5 - 3 / Math.PI, 1, [0, -1, -1]).height;
    expect(surface(62.5 - 3 / Math.PI, 1, [0, -0.0161, -0.0161]).height).toBeCloseTo(alone, 9);
    expect(surface(62.5 - 3 / Math.PI, 1, [0, -0.0155, -0.0155]).height).toBeLessThan(alone);
  });

  it('planes a board to the highest knife, less its ridges', () => {
    const shop = shopWith([knife('1', 0), knife('2', 0.1), knife('3', 0), knife('4', 0)], {
      powerGap: 20,
    });
    // alone at 2 mm a revolution on 60.1 mm: 2²/(8·(60.1 + 2/π)) = 8.2 µm
    expect(planedThickness(shop, 40, 7, 3)).toBeCloseTo(19.9082, 4);
  });
});

describe('designs', () => {
  const shop = drawShop(seeded(3), 3);

  it('put each station of the narrow strips on a board of its own', () => {
    const places = narrowStrips(shop);
    expect(places).toHaveLength(60);
    expect(new Set(places.map((place) => `${place.board} ${place.x}`))).toEqual(
      new Set(['H1 40', 'H2 150', 'H3 260', 'H4 370', 'H5 480']),
    );
    const first = places.slice(0, 12).map((place) => place.knife);
    expect(first).toEqual(['1', '2', '3', '3', '2', '1', '1', '2', '3', '3', '2', '1']);
  });

  it('share one board where it is wide, and never a place', () => {
    const places = wideBoard(shop);
    expect(new Set(places.map((place) => place.board))).toEqual(new Set(['H1']));
    expect(new Set(places.map((place) => `${place.x} ${place.y}`)).size).toBe(60);
  });

  it('plane full boards and two strips', () => {
    expect(fullBoards(shop, [100, 200], 3)).toHaveLength(30);
    const strips = twoStrips(shop, [100, 200]);
    expect(strips.map((place) => [place.board, place.x])).toEqual([
      ['S1', 40],
      ['S1', 40],
      ['S2', 480],
      ['S2', 480],
    ]);
  });
});

describe('calipers', () => {
  it('misread about as often as told, on just the lines that are told', () => {
    const shop = shopWith([knife('1', 0), knife('2', 0)], { handGap: 20, lockSd: 0 });
    const caliper = { misreadRate: 0.01, noiseSd: 0.001, zeroError: 0.12 };
    const places = narrowStrips(shop, 5, 300);
    const comments = ['one', 'two'];
    const { csv, misreadLines } = measure(shop, places, seeded(5), { caliper, comments });
    expect(misreadLines.length).toBeGreaterThan(14);
    expect(misreadLines.length).toBeLessThan(46);
    const lines = csv.trimEnd().split('\n');
    expect(lines[2]).toBe('board,knife,x,y,thickness');
    const wrong = lines.flatMap((line, i) =>
      i > 2 && Math.abs(Number(line.split(',')[4]) - 20.12) > 0.05 ? [i + 1] : [],
    );
    expect(wrong).toEqual(misreadLines);
  });

  it('always change the value when misread, and leave it a thickness', () => {
    const random = seeded(6);
    const seen = new Set(Array.from({ length: 2000 }, () => misread('20.13', random)));
    expect(seen).toEqual(
      new Set(['20.03', '20.23', '19.63', '20.63', '19.13', '21.13', '21.03', '20.31', '201.30']),
    );
    for (let i = 0; i < 200; i++) expect(Number(misread('20.00', random))).not.toBe(20);
  });

  it('read one-sidedly thick off a scoop’s bottom, and less so by the smallest of three', () => {
    const shop = shopWith([knife('1', 0)], { handGap: 20, lockSd: 0 });
    const places = Array.from({ length: 4000 }, (_, i) => ({
      board: 'H',
      knife: '1',
      x: 40,
      y: i,
    }));
    const mean = (tries: number) => {
      const quiet = { noiseSd: 0, zeroError: 0, misreadRate: 0, bladeWidth: 0, resolution: 1e-6 };
      const { rows } = measure(shop, places, seeded(7), { caliper: { ...quiet, tries } });
      return rows.reduce((sum, row) => sum + Number(row.thickness) - 20, 0) / rows.length;
    };
    // the mean of m²/(2R) is 0.49/120 = 4.1 µm; of the smallest of three squares about a fifth
    expect(mean(1) * 1000).toBeCloseTo(4.08, 0);
    expect(mean(3) * 1000).toBeGreaterThan(0.6);
    expect(mean(3) * 1000).toBeLessThan(1);
  });

  it('write as many decimals as they resolve', () => {
    const shop = drawShop(seeded(8), 2);
    const { rows } = measure(shop, narrowStrips(shop), seeded(9));
    for (const row of rows) expect(row.thickness).toMatch(/^\d+\.\d\d$/);
    expect(USUAL_CALIPER.resolution).toBe(0.01);
  });

  it('find the ends of a sniped board thin', () => {
    const shop = shopWith([knife('1', 0)], { lockSd: 0 });
    const snipe = { boardLength: 600, reach: 60, depth: 0.2 };
    const quiet = { noiseSd: 0, zeroError: 0, misreadRate: 0, resolution: 0.001 };
    const { rows } = measure(shop, fullBoards(shop, [0, 30, 300, 585]), seeded(1), {
      snipe,
      caliper: quiet,
    });
    const at = (y: number) => Number(rows.find((row) => row.y === y)!.thickness);
    expect(at(300) - at(0)).toBeCloseTo(0.2, 3);
    expect(at(300) - at(30)).toBeCloseTo(0.1, 3);
    expect(at(300) - at(585)).toBeCloseTo(0.15, 3);
  });
});

describe('the truth', () => {
  it('counts offsets from the mean of the knives and the tilt from it too', () => {
    const shop = shopWith([knife('1', 0.1, 0), knife('2', 0, 0.06)], { tilt: 0.05 });
    const { offsets, bedTilt } = truthOf(shop);
    expect(offsets[0]!.front).toBeCloseTo(0.05, 12);
    expect(offsets[0]!.back).toBeCloseTo(-0.03, 12);
    expect(offsets[1]!.front).toBeCloseTo(-0.05, 12);
    // the mean of the knives falls from 0.05 to 0.03
    expect(bedTilt).toBeCloseTo(0.07, 12);
  });

  it('has boards tapered by the highest knife, which is not the tilt', () => {
    const shop = shopWith([knife('1', 0.1, 0), knife('2', 0, 0)], { tilt: 0.02 });
    expect(truthOf(shop).bedTilt).toBeCloseTo(0.07, 12);
    // highest at the front 0.1, at the back 0; less what ridges differ by, under a tenth of P²/(8R)
    expect(truthOf(shop).taper).toBeGreaterThan(0.112);
    expect(truthOf(shop).taper).toBeLessThan(0.121);
  });

  it('moves by what a hand turns, by each thread’s response', () => {
    const bent = { ...knife('1', 0), response: [0.02, 0] as const };
    const shop = shopWith([bent, knife('2', 0)], { handTurnSd: 0, liftPerTurn: 1 });
    const turned = turnScrews(
      shop,
      [
        { knife: '1', x: 40, turns: 0.25 },
        { knife: '2', x: 480, turns: -0.125 },
      ],
      seeded(1),
    );
    expect(turned.knives.map(({ front, back }) => [front, back])).toEqual([
      [0.255, 0],
      [0, -0.125],
    ]);
  });

  it('turns with a hand’s error of a 96th of a turn', () => {
    const shop = shopWith([knife('1', 0)]);
    const random = seeded(2);
    const errors = Array.from(
      { length: 4000 },
      () => turnScrews(shop, [{ knife: '1', x: 40, turns: 0.5 }], random).knives[0]!.front - 0.5,
    );
    const sd = Math.sqrt(errors.reduce((sum, error) => sum + error ** 2, 0) / errors.length);
    expect(sd).toBeGreaterThan(0.01);
    expect(sd).toBeLessThan(0.0109);
  });
});
