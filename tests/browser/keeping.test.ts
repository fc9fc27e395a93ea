import { expect, test } from 'vitest';
import { open, save, textOf, typeReadings, withBrowser } from './browser.js';
import { SMALL, simulatedReadings, writtenSheet } from './sheets.js';

withBrowser();

test('half a sheet survives a reload and a closed tab, and is gone on with', async () => {
  const sheet = writtenSheet(SMALL);
  const readings = simulatedReadings(sheet.places);
  const page = await open(sheet.path);
  await typeReadings(page, readings.slice(0, 10));
  await page.reload();
  expect(await textOf(page, 'turn')).toBe('Place 11 of 32');
  expect(await textOf(page, 'kept-words')).toMatch(/^10 readings typed on this device/);
  await typeReadings(page, readings.slice(10, 20));
  expect(await page.locator('#kept').isVisible()).toBe(false);
  const address = page.url();
  const next = await page.context().newPage();
  await page.close();
  await next.goto(address);
  await typeReadings(next, readings.slice(20));
  const whole = await save(next);
  const cells = whole.text.split('\n').filter((line) => line.startsWith('H'));
  expect(cells.map((line) => line.split(',')[5])).toEqual(readings);
});

test('sheets of different plans keep different readings', async () => {
  const [one, other] = [writtenSheet(SMALL), writtenSheet([...SMALL.slice(0, -1), '3'])];
  const page = await open(one.path);
  await typeReadings(page, ['20.05']);
  const key = () => page.evaluate(() => Object.keys(localStorage));
  const [first] = await key();
  expect(first).toMatch(/^proofboard sheet [0-9a-f]{64}$/);
  const { readFileSync } = await import('node:fs');
  expect(readFileSync(one.path, 'utf8')).toContain(first);
  expect(readFileSync(other.path, 'utf8')).not.toContain(first);
  expect(readFileSync(writtenSheet(SMALL).path, 'utf8')).toContain(first);
});

test('readings are cleared only after asking', async () => {
  const sheet = writtenSheet(SMALL);
  const page = await open(sheet.path);
  await page.locator('#fresh').click();
  expect(await page.locator('#clearing').isVisible()).toBe(false);
  await typeReadings(page, ['20.05', '20.06']);
  await page.locator('#fresh').click();
  expect(await textOf(page, 'clearing-words')).toContain('all 2 readings');
  await page.keyboard.press('Escape');
  expect(await textOf(page, 'measured')).toBe('2 of 32 measured');
  await page.locator('#fresh').click();
  await page.locator('#clear-no').click();
  expect(await textOf(page, 'measured')).toBe('2 of 32 measured');
  await page.locator('#fresh').click();
  await page.locator('#clear-yes').click();
  expect(await textOf(page, 'measured')).toBe('0 of 32 measured');
  await page.reload();
  expect(await textOf(page, 'measured')).toBe('0 of 32 measured');
});

test('a browser that keeps nothing is named, and the readings can still be saved', async () => {
  const sheet = writtenSheet(SMALL);
  const page = await open(sheet.path);
  await page.addInitScript(() => {
    Object.defineProperty(window, 'localStorage', {
      get: () => {
        throw new DOMException('refused', 'SecurityError');
      },
    });
  });
  await page.reload();
  expect(await textOf(page, 'unkept')).toMatch(/keeps nothing/);
  await typeReadings(page, ['20.05']);
  expect(await textOf(page, 'unkept')).toMatch(/Save before you close it/);
  const closing = page.waitForEvent('dialog');
  const leaving = page.reload();
  const dialog = await closing;
  expect(dialog.type()).toBe('beforeunload');
  await dialog.accept();
  await leaving;
  await typeReadings(page, ['20.05']);
  expect((await save(page)).text).toContain(',20.05,');
});

test('what lies in the browser and is not of this sheet is left alone until something is typed', async () => {
  const sheet = writtenSheet(SMALL);
  const page = await open(sheet.path);
  await page.evaluate(() => {
    const { key } = JSON.parse(document.getElementById('data')?.textContent ?? '');
    localStorage.setItem(key, '{"version":1,"cells":[["20.05"');
  });
  await page.reload();
  expect(await textOf(page, 'unkept')).toMatch(/could not be read/);
  await typeReadings(page, ['20.05']);
  expect(await textOf(page, 'measured')).toBe('1 of 32 measured');
});

test('two tabs with the same sheet go on together', async () => {
  const sheet = writtenSheet(SMALL);
  const page = await open(sheet.path);
  const other = await page.context().newPage();
  await other.goto(page.url());
  await typeReadings(page, ['20.05']);
  await expect.poll(() => other.locator('#measured').textContent()).toBe('1 of 32 measured');
  await typeReadings(other, ['20.06']);
  await expect.poll(() => page.locator('#measured').textContent()).toBe('2 of 32 measured');
});

test('the readings can be copied where saving does not work', async () => {
  const sheet = writtenSheet(SMALL);
  const page = await open(sheet.path);
  await typeReadings(page, ['20.05']);
  await page.locator('#copying summary').click();
  const shown = await page.getByLabel('The readings as sheet.csv').inputValue();
  await page.locator('#copy').click();
  expect(await textOf(page, 'copied')).toBe('Copied.');
  expect(await page.evaluate(() => getSelection()?.toString())).toBe(shown);
  expect(shown).toBe((await save(page)).text);
});
