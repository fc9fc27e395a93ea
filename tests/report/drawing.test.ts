import { describe, expect, test } from 'vitest';
import type { PlannedBoard } from '../../src/plan/planned-board.js';
import { boardTables } from '../../src/report/html/board-tables.js';
import { numbered } from '../../src/report/svg/board-rows.js';
import { machineDrawings } from '../../src/report/svg/machine-drawing.js';
import { placesOf } from '../../src/sheet/places.js';
import { benchMachine } from '../machines.js';
import { type Tag, tagsOf, textsWithin } from './markup.js';
import { planed, strip, wideBoard } from './plans.js';

const MACHINE = benchMachine();

function drawn(boards: readonly PlannedBoard[], machine = MACHINE): string[] {
  const places = placesOf(boards);
  return machineDrawings({ machine, boards, places, unit: 'mm' }).map(({ markup }) => markup);
}

const ofClass = (markup: string, name: string) =>
  tagsOf(markup).filter(({ attributes }) => attributes.class === name);
const number = ({ attributes }: Tag, key: string) => Number(attributes[key]);

describe('the drawing of the machine', () => {
  const boards = [
    strip('H1', 40),
    strip('H2', 260),
    strip('H3', 480),
    planed('F1', [40, 260, 480]),
  ];
  const [markup, ...more] = drawn(boards);

  test('has every scoop, at its place across in proportion, with its knife in the order of cutting', () => {
    expect(more).toEqual([]);
    const scoops = ofClass(markup!, 'scoop');
    expect(scoops).toHaveLength(48);
    const knives = textsWithin(markup!, 'text').filter((text) => /^[1-4]$/.test(text));
    expect(knives.slice(0, 16).join('')).toBe('1234432112344321');
    const [first, middle, last] = [0, 16, 32].map((i) => number(scoops[i]!, 'cx'));
    expect((middle! - first!) / (last! - first!)).toBeCloseTo(0.5, 3);
    const block = ofClass(markup!, 'block')[0]!;
    const scale = number(block, 'width') / MACHINE.block.length;
    expect(first).toBeCloseTo(number(block, 'x') + 40 * scale, 1);
    expect(last).toBeCloseTo(number(block, 'x') + 480 * scale, 1);
  });

  test('goes from the leading end downwards, no scoop over another', () => {
    const down = ofClass(markup!, 'scoop')
      .slice(0, 16)
      .map((scoop) => number(scoop, 'cy'));
    const steps = down.slice(1).map((y, i) => y - down[i]!);
    const height = 2 * number(ofClass(markup!, 'scoop')[0]!, 'ry');
    expect(Math.min(...steps)).toBeGreaterThanOrEqual(height);
  });

  test('keeps boards apart, and everything within itself', () => {
    const [, , width, height] = tagsOf(markup!)[0]!.attributes.viewBox!.split(' ').map(Number);
    const boxes = ofClass(markup!, 'board').map((board) => ({
      left: number(board, 'x'),
      right: number(board, 'x') + number(board, 'width'),
      top: number(board, 'y'),
      bottom: number(board, 'y') + number(board, 'height'),
    }));
    expect(boxes).toHaveLength(4);
    for (const [i, a] of boxes.entries()) {
      expect(a.left >= 0 && a.right <= width! && a.bottom <= height!).toBe(true);
      for (const b of boxes.slice(i + 1)) {
        const apart = a.right < b.left || b.right < a.left || a.bottom < b.top || b.bottom < a.top;
        expect(apart).toBe(true);
      }
    }
  });

  test('names the ends, the mark and every station', () => {
    const texts = textsWithin(markup!, 'text');
    for (const text of [
      'front',
      'back',
      'mark, x 0',
      'x 40',
      'x 260',
      'x 480',
      'H1',
      'F1',
      'feed',
    ]) {
      expect(texts).toContain(text);
    }
  });

  test('is turned round where the front end is called the right one', () => {
    const adjusters = { ...MACHINE.adjusters, names: ['right', 'left'] as const };
    const [mirrored] = drawn(boards, benchMachine({ adjusters }));
    const xs = ofClass(mirrored!, 'scoop').map((scoop) => number(scoop, 'cx'));
    expect(xs[0]).toBeGreaterThan(xs[16]!);
    const sum = xs[0]! + number(ofClass(markup!, 'scoop')[0]!, 'cx');
    for (const [i, scoop] of ofClass(markup!, 'scoop').entries()) {
      expect(xs[i]! + number(scoop, 'cx')).toBeCloseTo(sum, 1);
    }
  });
});

test('boards at the same places, cut alike, are drawn once under all their names', () => {
  const [markup] = drawn([planed('F1', [40, 480]), planed('F2', [40, 480])]);
  expect(textsWithin(markup!, 'text')).toContain('F1, F2');
  expect(ofClass(markup!, 'board')).toHaveLength(1);
});

test('what does not fit one page goes on in another drawing', () => {
  const sheets = drawn([
    wideBoard('W1'),
    { ...wideBoard('W2'), x: [40, 480] },
    strip('H1', 260, 7),
  ]);
  expect(sheets.length).toBeGreaterThan(1);
  const scoops = sheets.map((markup) => ofClass(markup, 'scoop').length);
  expect(scoops.reduce((sum, count) => sum + count, 0)).toBe(36 * 9 + 36 * 2 + 28);
  const ids = sheets.map((markup) => /id="(drawing-\d)"/.exec(markup)?.[1]);
  expect(new Set(ids).size).toBe(sheets.length);
});

test('crowded stations are named in two rows', () => {
  const [markup] = drawn([40, 60, 80, 100].map((x, i) => strip(`H${i + 1}`, x)));
  const named = tagsOf(markup!).filter(
    ({ attributes }) => attributes.class === 'figure' && attributes['text-anchor'] === 'middle',
  );
  expect(new Set(named.map((tag) => tag.attributes.y)).size).toBe(2);
});

describe('the tables', () => {
  const position = (mm: number) => `${mm}`;
  const tables = (boards: readonly PlannedBoard[]) => {
    const all = numbered(placesOf(boards));
    const tabled = boards.map(({ board }) => ({
      places: all.filter((place) => place.board === board),
      isAgain: false,
    }));
    return boardTables(tabled, position).map(({ markup }) => markup);
  };
  const cellsOf = (markup: string) =>
    tagsOf(markup)
      .flatMap(({ attributes }) => attributes['data-cell'] ?? [])
      .map(Number);

  test('of four strips stand side by side, in the order of measuring', () => {
    const bands = tables([40, 150, 370, 480].map((x, i) => strip(`H${i + 1}`, x)));
    expect(bands).toHaveLength(1);
    expect(textsWithin(bands[0]!, 'table')).toHaveLength(4);
    expect(cellsOf(bands[0]!)).toEqual(Array.from({ length: 64 }, (_, i) => i));
  });

  test('of a board too large are parted, each part with its head, and no part is wider or longer than a page', () => {
    const parts = tables([wideBoard()]).flatMap((band) => textsWithin(band, 'table'));
    expect(parts.length).toBeGreaterThan(2);
    for (const part of parts) {
      expect(textsWithin(part, 'thead')).toHaveLength(1);
      expect(textsWithin(part, 'tr').length).toBeLessThanOrEqual(27);
      expect(ofClass(part, 'cell').length / textsWithin(part, 'tr').length).toBeLessThanOrEqual(8);
    }
    expect(parts.flatMap(cellsOf).sort((a, b) => a - b)).toEqual(
      Array.from({ length: 36 * 9 }, (_, i) => i),
    );
  });

  test('give each place a row of its own scoop and the column of its station', () => {
    const [band] = tables([{ ...wideBoard(), x: [40, 480], y: [40, 160] }]);
    const rows = textsWithin(textsWithin(band!, 'tbody')[0]!, 'tr');
    expect(rows.map((row) => textsWithin(row, 'th')[0])).toEqual([
      '40',
      '70',
      '100',
      '130',
      '160',
      '190',
      '220',
      '250',
    ]);
    expect(rows.map((row) => textsWithin(row, 'td')[0]).join('')).toBe('12344321');
    expect(rows.map(cellsOf)).toEqual(Array.from({ length: 8 }, (_, i) => [2 * i, 2 * i + 1]));
  });

  test('keep places that are measured twice apart', () => {
    const [band] = tables([{ ...planed('F1', [40, 480]), y: [150, 150] }]);
    const rows = textsWithin(textsWithin(band!, 'tbody')[0]!, 'tr');
    expect(rows.map(cellsOf)).toEqual([
      [0, 1],
      [2, 3],
    ]);
  });
});
