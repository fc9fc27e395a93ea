import { createHash } from 'node:crypto';
import { describe, expect, test } from 'vitest';
import { blankPage, type SheetPageOptions } from '../../src/pipeline/sheet.js';
import type { Plan } from '../../src/record/plan.js';
import { benchMachine } from '../machines.js';
import { readEntities, tagsOf, textsWithin } from './markup.js';
import { planed, planFor, strip, wideBoard } from './plans.js';

const SCRIPT = 'document.title = "a program of ours";';
const OPTIONS: SheetPageOptions = {
  unit: 'mm',
  script: SCRIPT,
  saveAs: 'readings.csv',
  command: 'proofboard analyse machine.toml readings.csv',
};

const PLAN = planFor([strip('H1', 40), strip('H2', 480), planed('F1', [40, 260, 480])]);

function pageOf(
  plan: Plan = PLAN,
  options: Partial<SheetPageOptions> = {},
  name = plan.machine.name,
) {
  return blankPage(benchMachine({ name }), plan, { ...OPTIONS, ...options });
}

function policyOf(page: string): Record<string, string> {
  const tag = tagsOf(page).find(({ attributes }) => attributes['http-equiv'])!;
  expect(tag.attributes['http-equiv']).toBe('Content-Security-Policy');
  return Object.fromEntries(
    tag.attributes.content!.split('; ').map((each) => each.split(/ (.*)/).slice(0, 2)),
  );
}

const hashOf = (text: string) => `'sha256-${createHash('sha256').update(text).digest('base64')}'`;

describe('the policy', () => {
  test('lets the page run its own program and show its own style, and nothing else', async () => {
    const page = await pageOf();
    const [style] = textsWithin(page, 'style');
    expect(policyOf(page)).toEqual({
      'default-src': "'none'",
      'script-src': hashOf(SCRIPT),
      'style-src': hashOf(style!),
      'base-uri': "'none'",
      'form-action': "'none'",
    });
    expect(textsWithin(page, 'style')).toHaveLength(1);
    expect(textsWithin(page, 'script').at(-1)).toBe(SCRIPT);
  });

  test('stands before anything that it has to hold for', async () => {
    const names = tagsOf(await pageOf()).map(({ name }) => name);
    expect(names.slice(0, 4)).toEqual(['html', 'head', 'meta', 'meta']);
    expect(names.indexOf('style')).toBeGreaterThan(names.lastIndexOf('meta') - 2);
    expect(names.indexOf('style')).toBeGreaterThan(3);
  });

  test('nothing in the page would break it: no address, no style or handler in an attribute', async () => {
    const page = await pageOf();
    const keys = tagsOf(page).flatMap(({ attributes }) => Object.keys(attributes));
    expect(keys.filter((key) => /^on|^style$|src|href|srcset|action/.test(key))).toEqual([]);
    expect(page).not.toMatch(/url\(|@import|https?:/);
  });
});

describe('every place', () => {
  test.each([
    ['strips and a board', PLAN],
    ['a wide board', planFor([wideBoard()])],
  ])('of %s is once in the list, the map, the tables and the data', async (_, plan) => {
    const tags = tagsOf(await pageOf(plan));
    const numbers = Array.from({ length: plan.readings }, (__, i) => i);
    for (const name of ['data-jump', 'data-value', 'data-place', 'data-cell']) {
      const found = tags.flatMap(({ attributes }) => attributes[name] ?? []).map(Number);
      expect(found.sort((a, b) => a - b)).toEqual(numbers);
    }
    const data = JSON.parse(textsWithin(await pageOf(plan), 'script')[0]!);
    expect(data.places).toHaveLength(plan.readings);
  });

  test('has an id of its own where it has one', async () => {
    const ids = tagsOf(await pageOf()).flatMap(({ attributes }) => attributes.id ?? []);
    expect(new Set(ids).size).toBe(ids.length);
  });
});

const HOSTILE = [
  '<script>alert(1)</script>',
  '</script><script>alert(1)</script>',
  '" onload="alert(1)',
  "'><img src=x onerror=alert(1)>",
  '</title><h1>',
  '&lt;b&gt;',
  '<!--',
  '=cmd()',
  'a\u0000b\u0008',
];

test.each(HOSTILE)('a machine and a board named %j are shown as written', async (name) => {
  const clean = name.replaceAll('\u0000', '\ufffd').replaceAll('\u0008', '\ufffd');
  const plan = planFor([strip(name, 40)]);
  const page = await pageOf(plan, { saveAs: name, command: name }, name);
  const plain = await pageOf(planFor([strip('H1', 40)]));
  const names = (text: string) => tagsOf(text).map((tag) => tag.name);
  expect(names(page)).toEqual(names(plain));
  expect(readEntities(textsWithin(page, 'title')[0]!)).toBe(`Measurement sheet: ${clean}`);
  expect(readEntities(textsWithin(page, 'caption')[0]!)).toContain(`<b>Board ${clean}</b>`);
  const data = JSON.parse(textsWithin(page, 'script')[0]!);
  expect([data.machine.name, data.places[0].board, data.saveAs]).toEqual([name, name, name]);
});

describe('what the browser keeps readings under', () => {
  const keyOf = async (page: Promise<string>) =>
    JSON.parse(textsWithin(await page, 'script')[0]!).key as string;

  test('is the same for the same plan, and another for any other', async () => {
    const key = await keyOf(pageOf());
    expect(await keyOf(pageOf(PLAN, { script: 'other', saveAs: 'x.csv' }))).toBe(key);
    const others = [
      pageOf(planFor([strip('H1', 41)])),
      pageOf(planFor([strip('H1', 40, 3)])),
      pageOf(planFor([strip('H2', 40)])),
      pageOf({ ...PLAN, machine: { ...PLAN.machine, name: 'another' } }),
      blankPage(benchMachine(), PLAN, { ...OPTIONS, unit: 'in' }),
    ];
    const keys = await Promise.all(others.map(keyOf));
    expect(new Set([key, ...keys]).size).toBe(others.length + 1);
  });
});

test('positions are shown in the unit of the sheet, with no more decimals than they need', async () => {
  const plan = planFor([{ ...strip('H1', 38.1), y: [12.7, 158.75], spacing: 31.75 }]);
  const inches = await blankPage(benchMachine(), plan, { ...OPTIONS, unit: 'in' });
  expect(inches).toContain('>x 1.5<');
  expect(textsWithin(inches, 'th').slice(3, 7)).toEqual(['0.5', '1.75', '3', '4.25']);
  const mm = await pageOf(plan);
  expect(mm).toContain('>x 38.1<');
  expect(textsWithin(mm, 'th').slice(3, 7)).toEqual(['12.7', '44.5', '76.2', '108']);
});

test('advice fits what is cut: nothing of scoops where all boards are planed', async () => {
  const planedOnly = await pageOf(planFor([planed('F1', [40, 480])]));
  const advice = (page: string) => textsWithin(page, 'li').join();
  expect(advice(planedOnly)).not.toMatch(/scoop/);
  expect(advice(planedOnly)).toMatch(/planed board/);
  const byHand = advice(await pageOf(planFor([strip('H1', 40)])));
  expect(byHand).toMatch(/take three tries/);
  expect(byHand).not.toMatch(/planed board/);
});

test('a board that is cut already says that it is measured again', async () => {
  const page = await pageOf(planFor([{ ...strip('H1', 40), again: true }, strip('H2', 480)]));
  const captions = textsWithin(page, 'caption');
  expect(captions.map((text) => text.includes('cut already'))).toEqual([true, false]);
});
