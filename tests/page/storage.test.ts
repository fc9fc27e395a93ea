import { describe, expect, test } from 'vitest';
import { freshState, jump, keep, type SheetState, takeTries, type } from '../../src/page/state.js';
import { find, put, type Shelf, shelfOf } from '../../src/page/storage.js';
import { sheetData } from './sheet-data.js';

const WHEN = '2026-11-24T10:15:00.000Z';
const sheet = sheetData();

function shelf(content: Record<string, string> = {}): Shelf & { content: Record<string, string> } {
  return {
    content,
    getItem: (key) => content[key] ?? null,
    setItem: (key, text) => {
      content[key] = text;
    },
    removeItem: (key) => {
      delete content[key];
    },
  };
}

const step = (state: SheetState, text: string) => type(sheet, state, text).state;

const STATES: Readonly<Record<string, SheetState>> = {
  'a blank one': freshState(sheet),
  'one with readings': ['20.10', '20,1', '25/32 in', '20.050'].reduce(step, freshState(sheet)),
  'one with a gap': step(jump(freshState(sheet), 7).state, '20.05'),
  'one with a question open': ['20.05', '20.05', '20.05', '20.05', '20.05', '25.05'].reduce(
    step,
    freshState(sheet),
  ),
  'one with a reading kept': keep(
    ['20.05', '20.05', '20.05', '20.05', '20.05', '25.05'].reduce(step, freshState(sheet)),
  ).state,
  'one in the midst of a scoop': ['20.05', '20.06'].reduce(
    step,
    takeTries(freshState(sheet), true).state,
  ),
  'a finished one': sheet.places.map(() => '20.05').reduce(step, freshState(sheet)),
};

test.each(Object.entries(STATES))('%s is taken out as it was put away', (_, state) => {
  const kept = shelf();
  expect(put(kept, sheet, state, WHEN)).toBe(true);
  expect(find(kept, sheet)).toEqual({ state, when: WHEN, isSpoilt: false });
});

test('the question was really open, and the kept reading kept', () => {
  expect(STATES['one with a question open']?.questioned).toMatchObject({ cell: '25.05' });
  expect(STATES['one with a reading kept']?.entries[5]).toMatchObject({ isKept: true });
});

test('another sheet finds nothing', () => {
  const kept = shelf();
  put(kept, sheet, STATES['one with readings']!, WHEN);
  expect(find(kept, sheetData({ key: 'another' }))).toEqual({
    state: freshState(sheet),
    when: null,
    isSpoilt: false,
  });
});

const GOOD = (() => {
  const kept = shelf();
  put(kept, sheet, STATES['one with readings']!, WHEN);
  return JSON.parse(kept.content['a sheet']!);
})();

describe('what cannot be of this sheet is called spoilt and left where it is', () => {
  test.each([
    ['half a text', JSON.stringify(GOOD).slice(0, 40)],
    ['another thing', 'null'],
    ['another version', JSON.stringify({ ...GOOD, version: 2 })],
    ['fewer places', JSON.stringify({ ...GOOD, cells: GOOD.cells.slice(1) })],
    ['a place beyond the last', JSON.stringify({ ...GOOD, at: 1000 })],
    ['half a place', JSON.stringify({ ...GOOD, at: 1.5 })],
    ['no thickness', JSON.stringify({ ...GOOD, cells: [['x', false], ...GOOD.cells.slice(1)] })],
    ['a list in place of a text', JSON.stringify({ ...GOOD, tries: 5 })],
  ])('%s', (_, text) => {
    const kept = shelf({ 'a sheet': text });
    expect(find(kept, sheet)).toEqual({ state: freshState(sheet), when: null, isSpoilt: true });
    expect(kept.content['a sheet']).toBe(text);
  });
});

test('a browser that refuses is noticed, when it refuses everything and when it is full', () => {
  const refusing = {
    get localStorage(): Shelf {
      throw new Error('refused');
    },
  };
  expect(shelfOf(refusing)).toBeNull();
  expect(put(null, sheet, freshState(sheet), WHEN)).toBe(false);
  expect(find(null, sheet)).toEqual({ state: freshState(sheet), when: null, isSpoilt: false });
  const full = {
    ...shelf(),
    setItem: () => {
      throw new Error('full');
    },
  };
  expect(shelfOf({ localStorage: full })).toBeNull();
  expect(put(full, sheet, freshState(sheet), WHEN)).toBe(false);
});

test('the probe leaves nothing behind', () => {
  const kept = shelf();
  expect(shelfOf({ localStorage: kept })).toBe(kept);
  expect(kept.content).toEqual({});
});
