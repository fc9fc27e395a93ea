import { expect, test } from 'vitest';
import { jsonOf, proofboard, temporaryFolder, written } from '../cli/program.js';
import { open, PHONE, save, textOf, typeReadings, withBrowser } from './browser.js';
import { analysed, machineNamed, SMALL, type WrittenSheet, writtenSheet } from './sheets.js';

withBrowser();

const NAME = '<script>alert("1")</script> & </title><img src=x onerror=alert(2)>';
const KNIVES = ['</script><b>1', '"onclick="alert(3)', "'4'", '{{5}}'];
const BOARDS = ['=cmd()', '<svg onload=alert(6)>', '"; alert(7); //', '-1+1'];

/** A sheet in which every name tries to be something else. */
function hostileSheet(): WrittenSheet {
  const machine = machineNamed(NAME, KNIVES);
  const plan = jsonOf(proofboard(['plan', machine, ...SMALL, '--json']));
  const boards = plan.boards.map((board: object, i: number) => ({ ...board, board: BOARDS[i] }));
  const [file] = written(temporaryFolder(), { 'plan.json': JSON.stringify({ ...plan, boards }) });
  return writtenSheet(['--plan', file!], machine);
}

test('names are shown as they are written, and do nothing', async () => {
  const page = await open(hostileSheet().path, PHONE);
  expect(await page.title()).toBe(`Measurement sheet: ${NAME}`);
  expect(await page.locator('#typing .machine').textContent()).toBe(NAME);
  expect(await textOf(page, 'at-board')).toBe(BOARDS[0]);
  expect(await textOf(page, 'at-knife')).toBe(KNIVES[0]);
  expect(await page.locator('#paper caption b').allTextContents()).toEqual(
    BOARDS.map((name) => `Board ${name}`),
  );
  expect(
    await page.locator('img, #typing script, #paper script, [onload], [onclick]').count(),
  ).toBe(0);
  expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)).toBe(0);
  const pressed = await page.locator('[data-list] summary').allTextContents();
  expect(pressed.map((text) => text.replace(/ \d+ of \d+$/, ''))).toEqual(
    BOARDS.map((name) => `Board ${name}`),
  );
});

test('the saved file keeps the names, and none of them is a formula to a spreadsheet', async () => {
  const sheet = hostileSheet();
  const page = await open(sheet.path);
  await typeReadings(
    page,
    Array.from({ length: 32 }, () => '20.05'),
  );
  const { text } = await save(page);
  expect(text.split('\n').filter((line) => /^[=+\-@]/.test(line))).toEqual([]);
  const { result, code } = analysed(sheet, text);
  expect([0, 3]).toContain(code);
  const names = new Set(result.fitted.map(({ board }: { board: string }) => board));
  expect([...names]).toEqual(BOARDS);
});

test('what does not belong to the page cannot run in it', async () => {
  const page = await open(writtenSheet(SMALL).path);
  // The browser complains of it on the console, which is what it is asked to do here.
  page.removeAllListeners('console');
  const ran = await page.evaluate(async () => {
    const script = document.createElement('script');
    script.textContent = 'window.ran = true';
    document.body.append(script);
    const image = document.createElement('img');
    const failed = new Promise((resolve) => {
      image.onerror = () => resolve('refused');
      image.onload = () => resolve('loaded');
    });
    image.src = 'data:image/gif;base64,R0lGODlhAQABAAAAACwAAAAAAQABAAA=';
    return [(window as unknown as { ran?: boolean }).ran ?? false, await failed];
  });
  expect(ran).toEqual([false, 'refused']);
});
