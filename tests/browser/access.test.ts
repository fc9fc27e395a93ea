import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Page } from 'playwright-core';
import { describe, expect, test } from 'vitest';
import { DESKTOP, open, PHONE, typeReadings, withBrowser } from './browser.js';
import { SMALL, simulatedReadings, writtenSheet } from './sheets.js';

withBrowser();

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

/** What the checker finds; it is put in from outside, past the page's own policy. */
async function violations(page: Page): Promise<string[]> {
  await page.evaluate(AXE);
  return page.evaluate(async () => {
    // biome-ignore lint/suspicious/noExplicitAny: the checker has put itself there.
    const { violations: found, passes } = await (window as any).axe.run(document, {
      resultTypes: ['violations', 'passes'],
    });
    if (passes.length < 10) return ['the checker has hardly looked'];
    return found.flatMap(({ id, nodes }: { id: string; nodes: { html: string }[] }) =>
      nodes.map(({ html }) => `${id}: ${html}`),
    );
  });
}

const STATES: Readonly<Record<string, (page: Page, readings: readonly string[]) => Promise<void>>> =
  {
    blank: async () => {},
    'half filled': (page, readings) => typeReadings(page, readings.slice(0, 16)),
    'with a refused entry': (page) => typeReadings(page, ['2005']),
    'with a question': (page, readings) => typeReadings(page, [...readings.slice(0, 12), '29.99']),
    'in a scoop of three tries': async (page, readings) => {
      await page.locator('#takes-tries').check();
      await typeReadings(page, readings.slice(0, 1));
    },
    finished: (page, readings) => typeReadings(page, readings),
    'about to be cleared': async (page, readings) => {
      await typeReadings(page, readings.slice(0, 2));
      await page.locator('#fresh').click();
    },
    'with all lists open': async (page, readings) => {
      await typeReadings(page, readings.slice(0, 2));
      await page.reload();
      await page.locator('details').evaluateAll((all) => {
        for (const each of all) (each as HTMLDetailsElement).open = true;
      });
    },
  };

describe.each([
  ['phone by day', { ...PHONE, colorScheme: 'light' as const }],
  ['phone by night', { ...PHONE, colorScheme: 'dark' as const }],
  ['desktop by day', { ...DESKTOP, colorScheme: 'light' as const }],
  ['desktop by night', { ...DESKTOP, colorScheme: 'dark' as const }],
])('on a %s', (_, device) => {
  test('there is nothing that the accessibility checker objects to, whatever the sheet shows', async () => {
    const sheet = writtenSheet(SMALL);
    const readings = simulatedReadings(sheet.places);
    for (const [name, arrange] of Object.entries(STATES)) {
      const page = await open(sheet.path, device);
      await arrange(page, readings);
      expect({ name, found: await violations(page) }).toEqual({ name, found: [] });
      await page.context().close();
    }
  });
});

test('the paper, without the program, has nothing to object to either', async () => {
  const page = await open(writtenSheet(SMALL).path);
  await page.evaluate(() => {
    document.documentElement.classList.remove('typed-into');
    document.getElementById('typing')!.hidden = true;
  });
  expect(await violations(page)).toEqual([]);
});

test('at 320 px nothing is cut or has to be scrolled sideways, and targets are 48 px', async () => {
  const sheet = writtenSheet([]);
  const page = await open(sheet.path, PHONE);
  await typeReadings(page, [...simulatedReadings(sheet.places).slice(0, 12), '29.99']);
  await page.locator('details').evaluateAll((all) => {
    for (const each of all) (each as HTMLDetailsElement).open = true;
  });
  const found = await page.evaluate(() => ({
    wider: document.documentElement.scrollWidth - innerWidth,
    small: [...document.querySelectorAll('button, summary, .choice, #reading')]
      .filter((target) => (target as HTMLElement).offsetParent !== null)
      .map((target) => ({
        id: target.id || target.textContent,
        box: target.getBoundingClientRect(),
      }))
      .filter(({ box }) => box.height < 48 || box.width < 48)
      .map(({ id }) => id),
  }));
  expect(found).toEqual({ wider: 0, small: [] });
});

test('the field, its keypad and what is read aloud are named', async () => {
  const sheet = writtenSheet(SMALL);
  const page = await open(sheet.path, PHONE);
  const field = page.getByLabel('Thickness in mm');
  expect(await field.getAttribute('inputmode')).toBe('decimal');
  expect(await page.getByRole('progressbar', { name: 'Places measured' }).isVisible()).toBe(true);
  await typeReadings(page, ['20.05']);
  expect(await page.getByRole('status').filter({ hasText: '20.05 taken' }).textContent()).toBe(
    `20.05 taken. Place 2, board H1, knife 2, x ${sheet.places[1]!.x}, y ${sheet.places[1]!.y}. 1 of 32 measured.`,
  );
});
