import { describe, expect, test } from 'vitest';
import { demoShop } from '../workshop/demo-shop.js';
import { truthOf } from '../workshop/simulate.js';
import { DESKTOP, open, PHONE, save, textOf, typeReadings, withBrowser } from './browser.js';
import { analysed, SMALL, simulatedReadings, writtenSheet } from './sheets.js';

withBrowser();

describe.each([
  ['desktop', DESKTOP],
  ['phone', PHONE],
])('on a %s', (_, device) => {
  test('a caliper that types fills the sheet, and what is saved goes straight into analyse', async () => {
    const sheet = writtenSheet([]);
    const page = await open(sheet.path, device);
    await typeReadings(page, simulatedReadings(sheet.places));
    expect(await page.locator('#finished').isVisible()).toBe(true);
    expect(await textOf(page, 'measured')).toBe(
      `${sheet.places.length} of ${sheet.places.length} measured`,
    );
    const { name, text } = await save(page);
    expect(name).toBe('sheet.csv');
    const { code, result, stderr } = analysed(sheet, text);
    expect({ code, stderr }).toEqual({ code: 0, stderr: '' });
    expect(result.readings).toMatchObject({ total: sheet.places.length });
    const truth = truthOf(demoShop());
    for (const [i, knife] of result.knives.entries()) {
      expect(Math.abs(knife.ends[0].offset - truth.offsets[i]!.front)).toBeLessThan(0.015);
      expect(Math.abs(knife.ends[1].offset - truth.offsets[i]!.back)).toBeLessThan(0.015);
    }
  });
});

test('by touch alone: typing, skipping, going back, jumping to a place', async () => {
  const sheet = writtenSheet(SMALL);
  const page = await open(sheet.path, PHONE);
  await page.locator('#reading').tap();
  await page.keyboard.type('20.05');
  await page.locator('#form button[type=submit]').tap();
  expect(await textOf(page, 'turn')).toBe('Place 2 of 32');
  await page.locator('#skip').tap();
  expect(await textOf(page, 'turn')).toBe('Place 3 of 32');
  await page.locator('#back').tap();
  await page.locator('#back').tap();
  expect(await textOf(page, 'had')).toContain('20.05');
  await page.locator('[data-list] summary').last().tap();
  await page.locator('[data-jump="31"]').tap();
  expect(await textOf(page, 'turn')).toBe('Place 32 of 32');
  expect(await page.locator('#reading').evaluate((field) => field === document.activeElement)).toBe(
    true,
  );
  expect(
    await page.locator('#measuring').evaluate((now) => now.getBoundingClientRect().top),
  ).toBeGreaterThanOrEqual(0);
});

test('with the keyboard alone every button is reached in its order, pressed, and the field has the focus again', async () => {
  const sheet = writtenSheet(SMALL);
  const page = await open(sheet.path);
  const focused = () => page.evaluate(() => document.activeElement?.id ?? '');
  const tabTo = async (id: string) => {
    for (let i = 0; i < 12 && (await focused()) !== id; i++) await page.keyboard.press('Tab');
    expect(await focused()).toBe(id);
  };
  expect(await focused()).toBe('reading');
  await typeReadings(page, ['20.05']);
  await tabTo('back');
  await tabTo('skip');
  await page.keyboard.press('Enter');
  expect(await focused()).toBe('reading');
  expect(await textOf(page, 'turn')).toBe('Place 3 of 32');
  for (const place of ['2', '1']) {
    await tabTo('back');
    await page.keyboard.press('Space');
    expect(await textOf(page, 'turn')).toBe(`Place ${place} of 32`);
  }
  await tabTo('erase');
  await page.keyboard.press('Enter');
  expect(await textOf(page, 'measured')).toBe('0 of 32 measured');
  expect(await focused()).toBe('reading');
  for (const id of ['takes-tries', 'save', 'print', 'fresh']) await tabTo(id);
});

test('a caliper that ends its reading twice, or types while a button has the focus, loses nothing', async () => {
  const sheet = writtenSheet(SMALL);
  const page = await open(sheet.path);
  await page.keyboard.type('20.05');
  await page.keyboard.press('Enter');
  await page.keyboard.press('Enter');
  expect(await textOf(page, 'turn')).toBe('Place 2 of 32');
  await page.locator('#print').focus();
  await typeReadings(page, ['20.06']);
  await page.locator('h2').first().click();
  await typeReadings(page, ['20.04']);
  const { text } = await save(page);
  expect(text.match(/,20\.0[456],$/gm)).toEqual([',20.05,', ',20.06,', ',20.04,']);
});

test('what is no thickness is refused in words, and typing replaces it', async () => {
  const sheet = writtenSheet(SMALL);
  const page = await open(sheet.path);
  await typeReadings(page, ['2005']);
  expect(await textOf(page, 'problem')).toMatch(/decimal mark/);
  expect(await textOf(page, 'measured')).toBe('0 of 32 measured');
  await typeReadings(page, ['20,05']);
  expect(await textOf(page, 'measured')).toBe('1 of 32 measured');
  expect(await page.locator('#problem').textContent()).toBe('');
});

test('the map shows the board in hand, what is measured on it, and where to measure next', async () => {
  const sheet = writtenSheet(SMALL);
  const page = await open(sheet.path);
  await typeReadings(page, simulatedReadings(sheet.places).slice(0, 9));
  expect(await page.locator('.map:visible').getAttribute('data-board')).toBe('H2');
  expect(await page.locator('.map:visible .done').count()).toBe(1);
  expect(await page.locator('.map:visible .now').getAttribute('data-place')).toBe('9');
  expect(await page.locator('[aria-current=step]').getAttribute('data-jump')).toBe('9');
  expect(await page.locator('#progress').evaluate((bar: HTMLProgressElement) => bar.value)).toBe(9);
});

test('in inches, with fractions that a phone keypad has no keys for', async () => {
  const sheet = writtenSheet([...SMALL, '--unit', 'in']);
  const page = await open(sheet.path, PHONE);
  await page.locator('#reading').tap();
  await page.keyboard.type('25');
  await page.locator('[data-key="/"]').tap();
  await page.keyboard.type('32');
  await page.keyboard.press('Enter');
  const { text } = await save(page);
  expect(text).toContain('thickness (in)');
  expect(text).toContain(',0.78125,');
  const { code, result } = analysed(sheet, text);
  expect(code).toBe(3);
  expect(result.fitted[0].thickness).toBeCloseTo(19.84375, 9);
});
