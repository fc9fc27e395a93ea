import type { Page } from 'playwright-core';
import { describe, expect, test } from 'vitest';
import { open, PHONE, save, textOf, typeReadings, withBrowser } from './browser.js';
import { analysed, SMALL, simulatedReadings, writtenSheet } from './sheets.js';

withBrowser();

/** A sheet with its first twelve places measured, and a reading half a millimetre off typed next. */
async function questioned(): Promise<{
  page: Page;
  right: string;
  wrong: string;
  readings: string[];
  sheet: ReturnType<typeof writtenSheet>;
}> {
  const sheet = writtenSheet(SMALL);
  const readings = simulatedReadings(sheet.places);
  const page = await open(sheet.path, PHONE);
  await typeReadings(page, readings.slice(0, 12));
  const right = readings[12]!;
  const wrong = (Number(right) + 0.5).toFixed(2);
  await typeReadings(page, [wrong]);
  return { page, right, wrong, readings, sheet };
}

describe('a reading that disagrees with the others', () => {
  test('is questioned at once in figures, and not taken', async () => {
    const { page, right, wrong } = await questioned();
    const words = await textOf(page, 'question-words');
    expect(words).toContain(wrong);
    expect(words).toContain('Measure again while the board is in hand');
    const [, expected] = /expect: ([\d.]+) mm ±/.exec(words)!;
    expect(Math.abs(Number(expected) - Number(right))).toBeLessThan(0.06);
    expect(await textOf(page, 'measured')).toBe('12 of 32 measured');
    expect(
      await page.locator('#question').evaluate((panel) => {
        const { top, bottom } = panel.getBoundingClientRect();
        return top >= 0 && bottom <= innerHeight;
      }),
    ).toBe(true);
  });

  test('may be typed again without touching anything', async () => {
    const { page, right } = await questioned();
    await page.keyboard.press('Enter');
    expect(await page.locator('#answers').isVisible()).toBe(true);
    await typeReadings(page, [right]);
    expect(await page.locator('#answers').isVisible()).toBe(false);
    expect(await textOf(page, 'measured')).toBe('13 of 32 measured');
    expect((await save(page)).text).not.toContain('kept');
  });

  test('is dropped by Measure again, taken as it is by Keep it, and marked wherever it stands', async () => {
    const { page, wrong, readings, sheet } = await questioned();
    await page.locator('#again').tap();
    expect(await textOf(page, 'turn')).toBe('Place 13 of 32');
    await typeReadings(page, [wrong]);
    await page.locator('#keep').tap();
    expect(await textOf(page, 'turn')).toBe('Place 14 of 32');
    expect(await page.locator('[data-value="12"]').textContent()).toBe(`${wrong}, kept`);
    expect(await page.locator('.odd').getAttribute('data-place')).toBe('12');
    await typeReadings(page, readings.slice(13));
    expect(await page.locator('#review').isVisible()).toBe(false);
    const { text } = await save(page);
    expect(text).toContain(`,${wrong},questioned and kept`);
    const { code, result } = analysed(sheet, text);
    expect(code).toBe(0);
    expect(result.readings.total).toBe(32);
    expect(result.readings.setAside).toMatchObject([{ thickness: Number(wrong) }]);
  });

  test('is still in question after a reload', async () => {
    const { page, wrong } = await questioned();
    await page.reload();
    expect(await textOf(page, 'question-words')).toContain(wrong);
    await page.locator('#keep').tap();
    expect(await textOf(page, 'measured')).toBe('13 of 32 measured');
  });
});

test('the very first reading, typed wrong when nothing spoke against it, is named before the end', async () => {
  const sheet = writtenSheet(SMALL);
  const readings = simulatedReadings(sheet.places);
  const page = await open(sheet.path);
  const wrong = (Number(readings[0]) + 3).toFixed(2);
  const keep = async () => {
    if (await page.locator('#answers').isVisible()) await page.locator('#keep').click();
  };
  for (const reading of [wrong, ...readings.slice(1)]) {
    await typeReadings(page, [reading]);
    await keep();
  }
  expect(await page.locator('#review-list').textContent()).toContain(wrong);
  await page.locator('#review-list button').first().click();
  expect(await textOf(page, 'turn')).toBe('Place 1 of 32');
  await typeReadings(page, [readings[0]!]);
  expect(await page.locator('#review').isVisible()).toBe(false);
});

describe('three tries a scoop', () => {
  test('by keyboard alone: the smallest is taken with the third', async () => {
    const sheet = writtenSheet(SMALL);
    const page = await open(sheet.path);
    await page.locator('#takes-tries').focus();
    await page.keyboard.press('Space');
    await typeReadings(page, ['20.09', '20.05', '20.07']);
    expect(await textOf(page, 'turn')).toBe('Place 2 of 32');
    await typeReadings(page, ['20.08', '20.09']);
    expect(await textOf(page, 'tries')).toContain('20.08, 20.09');
    await page.reload();
    await typeReadings(page, ['20.10']);
    const { text } = await save(page);
    expect(text.match(/,20\.\d\d,$/gm)).toEqual([',20.05,', ',20.08,']);
  });

  test('are not asked for on a board cut under power', async () => {
    const sheet = writtenSheet([]);
    const page = await open(sheet.path);
    await page.locator('#takes-tries').check();
    expect(await textOf(page, 'at-knife')).toBe('all');
    await typeReadings(page, ['20.05']);
    expect(await textOf(page, 'measured')).toMatch(/^1 of/);
  });
});
