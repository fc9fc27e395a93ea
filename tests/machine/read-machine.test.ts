import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { feedPerKnife, outerAdjusters } from '../../src/machine/machine.js';
import { readMachine } from '../../src/machine/read-machine.js';
import { readFixture, readText } from './files.js';

describe('a machine with every section', () => {
  test('is read as it stands, with nothing assumed', async () => {
    const { machine, notices } = await readFixture('thicknesser.toml');
    expect(notices).toEqual([]);
    expect(machine).toEqual({
      name: 'Bench thicknesser',
      unit: 'mm',
      block: {
        knives: ['1', '2', '3', '4'],
        cuttingDiameter: 120,
        length: 520,
        speed: 4500,
        maxSpeed: 5500,
        maxProjection: 1.1,
        projection: { knife: '1', x: 40, value: 0.9 },
        angles: null,
      },
      feedSpeed: 9000,
      adjusters: {
        kind: 'screw',
        at: [40, 480],
        names: ['front', 'back'],
        thread: 'M6',
        pitch: 1,
        liftPerTurn: 1,
        raisedBy: 'anticlockwise',
        finestTurn: 0.0625,
        turnSd: 0.01,
        approach: 'raise',
      },
      bed: { repeatability: 0.005, at: [60, 460], thread: 'M8', liftPerTurn: 1.25 },
      set: {
        name: 'set A',
        edge: 'first',
        fitted: '2026-11-20',
        note: "from the invented shop's own grinder",
      },
      outfeedPresent: false,
      tolerance: { knife: 0.05, bed: 0.1 },
      instrument: {
        resolution: 0.01,
        maxError: 0.02,
        readingSd: 0.008,
        contact: { kind: 'flat', size: 3 },
        reach: 40,
      },
      assumed: [],
    });
    // 4500 rpm, 9 m/min, 4 knives: 0.5 mm a knife.
    expect(feedPerKnife(machine!)).toBe(0.5);
    expect(outerAdjusters(machine!)).toEqual([40, 480]);
  });
});

describe('a machine in inches', () => {
  test('has its lengths in mm, and its defaults in mm all the same', async () => {
    const { machine, notices } = await readFixture('inch-jointer.toml');
    expect(notices).toEqual([]);
    expect(machine).toMatchObject({
      unit: 'in',
      block: { cuttingDiameter: 63.5, length: 158.75, speed: 4500 },
      feedSpeed: 9144,
      adjusters: { at: [9.525, 149.225], thread: '1/4-28', finestTurn: 0.0625, approach: 'lower' },
      bed: { repeatability: 0.005, at: null, liftPerTurn: null },
      tolerance: { knife: 0.0508, bed: 0.1 },
      instrument: { resolution: 0.0127, maxError: 0.0254, contact: { kind: 'ball', size: 3.175 } },
    });
    const { adjusters } = machine!;
    expect(adjusters.kind === 'screw' && adjusters.liftPerTurn).toBeCloseTo(0.907143, 6);
  });
});

describe('defaults', () => {
  test('a shim machine states every one that it takes', async () => {
    const { machine, notices } = await readFixture('shims.toml');
    expect(notices).toEqual([]);
    expect(machine).toMatchObject({
      unit: 'mm',
      feedSpeed: null,
      adjusters: {
        kind: 'shim',
        stock: [
          { thickness: 0.1, count: null },
          { thickness: 0.05, count: 6 },
          { thickness: 0.02, count: null },
        ],
        most: 3,
      },
      bed: { repeatability: 0.005 },
      set: null,
      outfeedPresent: false,
      tolerance: { knife: 0.05, bed: 0.1 },
      instrument: { resolution: 0.01, maxError: 0.02, readingSd: null, contact: null },
    });
    expect(machine!.assumed.map(({ key, value }) => `${key}: ${value}`)).toEqual([
      'unit: mm',
      'block.speed: not given: no surface; full boards show the highest knife',
      'feed.speed: not given: no surface; full boards show the highest knife',
      'adjusters.names: front, back',
      'adjusters.most: 3 pieces an end',
      'bed.repeatability: 0.005 mm',
      'outfeed.present: false: no outfeed table',
      'tolerance.knife: 0.05 mm',
      'tolerance.bed: 0.1 mm',
      'instrument.resolution: 0.01 mm',
      'instrument.max_error: 0.02 mm',
    ]);
  });

  test('turn_sd is a sixth of finest_turn, a turn lifts one pitch unless the file says otherwise', async () => {
    const { machine } = await readFixture('outfeed-planer.toml');
    expect(machine).toMatchObject({
      block: { angles: [0, 118, 240] },
      feedSpeed: 9000,
      adjusters: { thread: null, pitch: 1.25, liftPerTurn: 0.4, names: ['left', 'right'] },
      bed: { repeatability: null },
      outfeedPresent: true,
    });
    const { adjusters } = machine!;
    expect(adjusters.kind === 'screw' && adjusters.turnSd).toBeCloseTo(1 / 72, 12);
    expect(outerAdjusters(machine!)).toEqual([30, 380]);
    expect(machine!.assumed.map(({ key }) => key)).not.toContain('adjusters.lift_per_turn');
  });

  test('a lever without a thread of its own', async () => {
    const text = readFileSync('fixtures/machines/outfeed-planer.toml', 'utf8');
    const { machine, notices } = await readText(text.replace('pitch = 1.25\n', ''));
    expect(notices).toEqual([]);
    expect(machine!.adjusters).toMatchObject({ thread: null, pitch: 0.4, liftPerTurn: 0.4 });
  });
});

test('a unit that only mathjs knows', async () => {
  const text = readFileSync('fixtures/machines/thicknesser.toml', 'utf8');
  const changed = text.replace('"9 m/min"', '"10 yd/min"').replace('520', '"5.2 dm"');
  const { machine, notices } = await readText(changed);
  expect(notices).toEqual([]);
  expect(machine).toMatchObject({ feedSpeed: 9144, block: { length: 520 } });
});

describe('the same machine in every text form', () => {
  const text = readFileSync('fixtures/machines/thicknesser.toml', 'utf8');
  const utf16 = (littleEndian: boolean) => {
    const bytes = new Uint8Array(2 * (text.length + 1));
    const view = new DataView(bytes.buffer);
    [...`\ufeff${text}`].forEach((character, at) => {
      view.setUint16(2 * at, character.charCodeAt(0), littleEndian);
    });
    return bytes;
  };
  test.each([
    ['with a byte-order mark', new TextEncoder().encode(`\ufeff${text}`)],
    ['with CRLF', new TextEncoder().encode(text.replaceAll('\n', '\r\n'))],
    ['UTF-16, little-endian', utf16(true)],
    ['UTF-16, big-endian', utf16(false)],
  ])('%s', async (_, content) => {
    const plain = await readFixture('thicknesser.toml');
    const { machine, notices } = await readMachine({ name: 'm.toml', content });
    expect(notices).toEqual([]);
    expect(machine).toEqual(plain.machine);
  });
});

describe('places', () => {
  test('do not shift with a byte-order mark, CRLF or tables written inline', async () => {
    const text =
      '\ufeffname = "x"\r\nblock = { knives = ["1"], cutting_diameter = 0, length = 100 }\r\n' +
      'adjusters.at = [0, 100]\r\nadjusters.pitch = 1\r\nadjusters.raised_by = "up"\r\nadjusters.finest_turn = "1/16"\r\n';
    const { notices } = await readText(text);
    expect(notices.map(({ line, column }) => [line, column])).toEqual([
      [2, 46],
      [5, 23],
    ]);
  });
});
