import type { Page } from 'playwright-core';
import { describe, expect, test } from 'vitest';
import { open, typeReadings, withBrowser } from './browser.js';
import { type PdfPage, pdfPages } from './pdf.js';
import { widePlan } from './plans.js';
import { SMALL, writtenSheet } from './sheets.js';

withBrowser();

const INCH_MACHINE = 'fixtures/machines/inch-jointer.toml';
const PAPERS = { A4: [595, 842], Letter: [612, 792] } as const;

async function printed(page: Page, format: keyof typeof PAPERS): Promise<PdfPage[]> {
  return pdfPages(await page.pdf({ format }));
}

/** Every word of the paper's text, sorted. */
function wordsOf(page: Page): Promise<string[]> {
  return page.evaluate(() => {
    const nodes = document.createTreeWalker(
      document.getElementById('paper')!,
      NodeFilter.SHOW_TEXT,
    );
    const words: string[] = [];
    while (nodes.nextNode()) {
      // A drawing's title is for those who listen.
      if (nodes.currentNode.parentElement?.closest('title')) continue;
      words.push(...(nodes.currentNode.textContent ?? '').split(/\s+/));
    }
    return words.filter((word) => word !== '').sort();
  });
}

function printedWords(pages: readonly PdfPage[]): string[] {
  // Letters that a font joins come back as one.
  const words = pages.flatMap(({ texts }) =>
    texts.flatMap((text) => text.normalize('NFKC').split(/\s+/)),
  );
  return words.filter((word) => word !== '' && word !== '•').sort();
}

describe.each([
  { what: 'the demonstration', options: [], machine: undefined, pages: 2 },
  { what: 'a small plan', options: SMALL, machine: undefined, pages: 2 },
  { what: 'a machine in inches', options: [], machine: INCH_MACHINE, pages: 2 },
  { what: 'full boards alone', options: ['--cuts', 'full'], machine: undefined, pages: 1 },
])('$what', ({ options, machine, pages: most }) => {
  test.each(Object.keys(PAPERS) as (keyof typeof PAPERS)[])(
    'prints on %s, on as many pages as it needs, with every word',
    async (format) => {
      const page = await open(writtenSheet(options, machine).path);
      const pages = await printed(page, format);
      expect(pages.length).toBeLessThanOrEqual(most);
      for (const { width, height } of pages) {
        expect([Math.round(width), Math.round(height)]).toEqual([...PAPERS[format]].map(near));
      }
      expect(printedWords(pages)).toEqual(await wordsOf(page));
    },
  );
});

/** Chromium's papers are a point off here and there. */
function near(points: number) {
  return expect.toSatisfy((value: number) => Math.abs(value - points) <= 1);
}

test('a board larger than a page goes on under heads of its own, its rows whole', async () => {
  const sheet = widePlan();
  const page = await open(sheet.path);
  for (const format of Object.keys(PAPERS) as (keyof typeof PAPERS)[]) {
    const pages = await printed(page, format);
    expect(printedWords(pages)).toEqual(await wordsOf(page));
    const tables = await page.locator('#paper table').count();
    const heads = pages.map(({ texts }) => texts.filter((text) => text === 'knife').length);
    const captions = pages.map(
      ({ texts }) => texts.filter((text) => text === 'cut by hand').length,
    );
    expect(heads).toEqual(captions);
    expect(heads.reduce((sum, count) => sum + count, 0)).toBe(tables);
  }
});

test.each([
  ['the demonstration', () => writtenSheet([])],
  ['a wide board', widePlan],
])(
  'nothing of %s is wider than the paper, taller than a page, or larger than its cell',
  async (_, make) => {
    const page = await open(make().path);
    await page.emulateMedia({ media: 'print' });
    // Letter is the lower, A4 the narrower paper; margins of 10 and 12 mm; 96 dots an inch.
    await page.setViewportSize({ width: Math.floor(((210 - 24) / 25.4) * 96), height: 900 });
    const tallest = ((279.4 - 20) / 25.4) * 96;
    const found = await page.evaluate(() => ({
      wider: document.documentElement.scrollWidth - document.documentElement.clientWidth,
      bands: [...document.querySelectorAll('.tables, figure svg, .advice')].map(
        (band) => band.getBoundingClientRect().height,
      ),
      cut: [...document.querySelectorAll('#paper td, #paper th')].filter(
        (cell) => cell.scrollWidth > cell.clientWidth + 1,
      ).length,
      cells: [...document.querySelectorAll('#paper td.cell')].map((cell) => {
        const { width, height } = cell.getBoundingClientRect();
        return [width, height];
      }),
      typing: getComputedStyle(document.getElementById('typing')!).display,
    }));
    expect(found).toMatchObject({ wider: 0, cut: 0, typing: 'none' });
    expect(Math.max(...found.bands)).toBeLessThan(tallest);
    // At least 18 by 8 mm to write a thickness into.
    for (const [width, height] of found.cells) {
      expect(width).toBeGreaterThan((18 / 25.4) * 96);
      expect(height).toBeGreaterThan((8 / 25.4) * 96);
    }
  },
);

test('it is black on white, also where the screen is dark', async () => {
  const page = await open(writtenSheet(SMALL).path, { colorScheme: 'dark' });
  await page.emulateMedia({ media: 'print', colorScheme: 'dark' });
  const colours = await page.evaluate(() =>
    ['body', '#paper', '#paper h1', '#paper td', '#paper code'].map((which) => {
      const { color, backgroundColor } = getComputedStyle(document.querySelector(which)!);
      return [color, backgroundColor];
    }),
  );
  for (const [text, ground] of colours) {
    expect(text).toBe('rgb(0, 0, 0)');
    expect(['rgb(255, 255, 255)', 'rgba(0, 0, 0, 0)']).toContain(ground);
  }
});

test('readings that were typed in stand in the printed tables', async () => {
  const page = await open(writtenSheet(SMALL).path);
  await typeReadings(page, ['20.05', '20.07']);
  const pages = await printed(page, 'A4');
  const texts = pages.flatMap((each) => each.texts);
  expect(texts.filter((text) => /^20\.0[57]$/.test(text))).toEqual(['20.05', '20.07']);
});

test('without its program the page is the paper', async () => {
  const page = await open(writtenSheet(SMALL).path, { javaScriptEnabled: false });
  expect(await page.locator('#paper').isVisible()).toBe(true);
  expect(await page.locator('#typing').isVisible()).toBe(false);
});
