import { existsSync } from 'node:fs';
import { pathToFileURL } from 'node:url';
import { type Browser, type BrowserContextOptions, chromium, type Page } from 'playwright-core';
import { afterAll, beforeAll, expect, onTestFinished, vi } from 'vitest';

/** A browser on a machine that may be busy. */
vi.setConfig({ testTimeout: 300_000, hookTimeout: 120_000 });

const CHROMIUM = '/usr/bin/chromium';

let browser: Browser;

/** One browser for a file of tests. */
export function withBrowser(): void {
  beforeAll(async () => {
    if (!existsSync(CHROMIUM)) {
      throw new Error(`${CHROMIUM} is not there: apt-get install chromium`);
    }
    browser = await chromium.launch({ executablePath: CHROMIUM, args: ['--no-sandbox'] });
  });
  afterAll(() => browser?.close());
}

/** A phone held upright, no larger than the smallest that is to be served. */
export const PHONE: BrowserContextOptions = {
  viewport: { width: 320, height: 568 },
  hasTouch: true,
  isMobile: true,
  deviceScaleFactor: 2,
};

export const DESKTOP: BrowserContextOptions = { viewport: { width: 1280, height: 900 } };

/**
 * Opens a page from a file. A request for anything else, a message on the console or an exception
 * fails the test when it ends.
 */
export async function open(path: string, options: BrowserContextOptions = DESKTOP): Promise<Page> {
  const context = await browser.newContext({ acceptDownloads: true, ...options });
  const page = await context.newPage();
  const address = pathToFileURL(path).href;
  const complaints: string[] = [];
  page.on('request', (request) => {
    // What the page hands to the downloads is its own.
    const url = request.url();
    if (url !== address && !url.startsWith('blob:')) complaints.push(`asked for ${url}`);
  });
  page.on('console', (message) => complaints.push(`console: ${message.text()}`));
  page.on('pageerror', (error) => complaints.push(`exception: ${error.message}`));
  onTestFinished(async () => {
    await context.close();
    expect(complaints).toEqual([]);
  });
  await page.goto(address);
  return page;
}

/** Types as a caliper with a keyboard's plug does: as fast as keys come, an Enter after each. */
export async function typeReadings(page: Page, readings: readonly string[]): Promise<void> {
  for (const reading of readings) {
    await page.keyboard.type(reading, { delay: 0 });
    await page.keyboard.press('Enter');
  }
}

/** What stands in an element of the page. */
export function textOf(page: Page, id: string): Promise<string> {
  return page
    .locator(`#${id}`)
    .textContent()
    .then((text) => text ?? '');
}

/** Saves by the page's button, and reads what came out of it. */
export async function save(page: Page): Promise<{ name: string; text: string }> {
  const [download] = await Promise.all([
    page.waitForEvent('download'),
    page.locator('#save').click(),
  ]);
  const chunks: Uint8Array[] = [];
  for await (const chunk of await download.createReadStream()) chunks.push(chunk as Uint8Array);
  return { name: download.suggestedFilename(), text: Buffer.concat(chunks).toString('utf8') };
}
