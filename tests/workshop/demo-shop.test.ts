import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { demoShop, firstRun, rerun } from './demo-shop.js';
import { seeded } from './random.js';
import { turnScrews } from './shop.js';
import { truthOf, worstEnd } from './simulate.js';

/** What the demonstration's first result says to turn. */
const MOVES = [
  { knife: '2', x: 40, turns: -0.125 },
  { knife: '3', x: 480, turns: 0.125 },
];

function committed(name: string): string {
  return readFileSync(new URL(`../../fixtures/demo/${name}`, import.meta.url), 'utf8');
}

describe('the demonstration', () => {
  it.each(Object.entries(firstRun()))('has %s as the simulator makes it', (name, text) => {
    expect(committed(name)).toBe(text);
  });

  it.each(Object.entries(rerun(MOVES)))(
    'has %s as the simulator makes it after the moves',
    (name, text) => {
      expect(committed(name)).toBe(text);
    },
  );

  it('says in every file that nothing of it was measured on a real machine', () => {
    for (const text of Object.values({ ...firstRun(), ...rerun(MOVES) })) {
      expect(text).toMatch(/^# An invented shop\. No real machine was measured/);
    }
  });

  it('tells of one knife low at the back and one proud at the front, on a bed that is inside', () => {
    const { offsets, bedTilt, taper } = truthOf(demoShop());
    const outside = offsets.flatMap(({ id, front, back }) => [
      ...(Math.abs(front) > 0.05 ? [`${id} front ${front.toFixed(3)}`] : []),
      ...(Math.abs(back) > 0.05 ? [`${id} back ${back.toFixed(3)}`] : []),
    ]);
    expect(outside).toEqual(['2 front 0.079', '3 back -0.081']);
    expect(bedTilt).toBeLessThan(0.1);
    expect(taper).toBeGreaterThan(0.1);
  });

  it('stands inside tolerance after the moves', () => {
    expect(worstEnd(truthOf(turnScrews(demoShop(), MOVES, seeded(1))))).toBeLessThan(0.05);
  });
});
