/**
 * Scoops read at several places along them, none of which need be the bottom: cut on exact circles,
 * read by blades of some width, now and then misread. Against the same scoops read once each.
 */
import { describe, expect, it } from 'vitest';
import { analyse } from '../../src/pipeline/analyse.js';
import type { Result } from '../../src/record/result.js';
import { asWritten, misread, USUAL_CALIPER } from './caliper.js';
import { scoopThickness } from './cutting.js';
import { narrowStrips, type Place } from './designs.js';
import { type Random, seeded } from './random.js';
import { drawShop, type Shop } from './shop.js';
import { measure, truthOf } from './simulate.js';
import { machineText } from './texts.js';

const MACHINES = 40;

/** How a scoop is read: where along it, and how far its bottom may lie from where it was meant. */
interface Along {
  readonly places: readonly number[];
  readonly offSd: number;
  readonly jaws: number;
  readonly misreadRate?: number;
}

function scoopsText(shop: Shop, places: readonly Place[], along: Along, random: Random): string {
  const rows = places.flatMap(({ board, knife: id, x, y }, scoop) => {
    const knife = shop.knives.find((each) => each.id === id)!;
    const bottom = y + random.normal(along.offSd);
    return along.places.map((away) => {
      const at = y + away;
      const thickness = scoopThickness(shop, knife, x, at - bottom, along.jaws);
      const shown = asWritten(thickness + random.normal(USUAL_CALIPER.noiseSd), 0.01);
      const isWrong = random.uniform() < (along.misreadRate ?? 0);
      return [board, id, x, at, `s${scoop}`, isWrong ? misread(shown, random) : shown].join(',');
    });
  });
  return `board,knife,x,y,scoop,thickness\n${rows.join('\n')}\n`;
}

async function analysed(machine: string, csv: string): Promise<Result> {
  const file = (name: string, text: string) => ({
    name,
    content: new TextEncoder().encode(text),
  });
  const { result, notices } = await analyse(file('machine.toml', machine), [file('a.csv', csv)], {
    date: new Date(0),
  });
  expect(notices.filter(({ severity }) => severity === 'error')).toEqual([]);
  return result!;
}

/** Share of ends within U, mean U, and mean error of the fitted ends over machines. */
async function loop(along: Along, machineOf: (text: string) => string = (text) => text) {
  let covered = 0;
  let ends = 0;
  let squares = 0;
  let sumU = 0;
  const codes = new Map<string, number>();
  for (let i = 0; i < MACHINES; i++) {
    const random = seeded(31_000 + i);
    const shop = drawShop(random, 3);
    const text = scoopsText(shop, narrowStrips(shop, 5, 2), along, random);
    const result = await analysed(machineOf(machineText(shop)), text);
    for (const code of new Set(result.notices.map((notice) => notice.code))) {
      codes.set(code, (codes.get(code) ?? 0) + 1);
    }
    const truth = truthOf(shop);
    result.knives.forEach(({ ends: [front, back] }, k) => {
      for (const [end, right] of [
        [front!, truth.offsets[k]!.front],
        [back!, truth.offsets[k]!.back],
      ] as const) {
        ends++;
        if (Math.abs(end.offset! - right) <= end.U!) covered++;
        squares += (end.offset! - right) ** 2;
        sumU += end.U!;
      }
    });
  }
  return { coverage: covered / ends, rms: Math.sqrt(squares / ends), U: sumU / ends, codes };
}

describe('scoops read at several places along them', () => {
  const five: Along = { places: [-6, -3, 0, 3, 6], offSd: 1.5, jaws: 0.3 };

  it('tell heights though no reading was taken at a bottom', { timeout: 60_000 }, async () => {
    const arcs = await loop(five);
    const once = await loop({ ...five, places: [0] });
    expect(arcs.coverage).toBeGreaterThanOrEqual(0.93);
    expect(arcs.rms).toBeLessThan(0.4 * once.rms);
    expect(arcs.U).toBeLessThan(0.4 * once.U);
    expect(arcs.codes.get('off-the-bottom') ?? 0).toBeLessThanOrEqual(1);
    expect(arcs.codes.get('boards-disagree')).toBeUndefined();
  });

  it('find their bottom from two places, and from outside them', { timeout: 60_000 }, async () => {
    const two = await loop({ ...five, places: [-4, 4] });
    expect(two.coverage).toBeGreaterThanOrEqual(0.93);
    const beside = await loop({ ...five, places: [2, 4, 6, 8] });
    expect(beside.coverage).toBeGreaterThanOrEqual(0.93);
  });

  it('stand a misread among their readings', { timeout: 60_000 }, async () => {
    const wrong = await loop({ ...five, misreadRate: 0.02 });
    expect(wrong.coverage).toBeGreaterThanOrEqual(0.92);
    expect(wrong.rms).toBeLessThan(0.004);
  });

  it('allow for flat jaws, which rest on their outer edge', { timeout: 60_000 }, async () => {
    const wide = { ...five, jaws: 3 };
    const told = await loop(wide, (text) => `${text}contact = "flat 3 mm"\n`);
    expect(told.coverage).toBeGreaterThanOrEqual(0.93);
    expect(told.rms).toBeLessThan(0.005);
  });
});

describe('scoops read once each', () => {
  /** How many of some machines are told that readings were taken off the bottom. */
  async function warned(caliper: object): Promise<number> {
    let count = 0;
    for (let i = 0; i < MACHINES; i++) {
      const random = seeded(32_000 + i);
      const shop = drawShop(random, 4);
      const { csv } = measure(shop, narrowStrips(shop), random, { caliper });
      const { notices } = await analysed(machineText(shop), csv);
      if (notices.some(({ code }) => code === 'off-the-bottom')) count++;
    }
    return count / MACHINES;
  }

  it('are told apart from the smallest of three', { timeout: 60_000 }, async () => {
    expect(await warned({ tries: 1, offBottomSd: 2 })).toBeGreaterThan(0.7);
    expect(await warned({ tries: 3 })).toBeLessThanOrEqual(0.03);
    expect(await warned({ tries: 1, offBottomSd: 0 })).toBeLessThanOrEqual(0.03);
  });
});
