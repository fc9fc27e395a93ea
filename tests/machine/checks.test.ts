import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { inShort, readText } from './files.js';

const SCREWS = readFileSync('fixtures/machines/thicknesser.toml', 'utf8');
const SHIMS = readFileSync('fixtures/machines/shims.toml', 'utf8');

/** A right file with one text in it replaced by another. */
function edited(text: string, from: string, to: string): string {
  if (!text.includes(from)) throw new Error(`the file has no ${from}`);
  return text.replace(from, to);
}

async function faultsOf(text: string): Promise<string[]> {
  const reading = await readText(text);
  expect(reading.machine).toBeNull();
  expect(reading.notices.every(({ severity }) => severity === 'error')).toBe(true);
  return inShort(reading).map((short) => short.replace(/^\S+ /, ''));
}

/** From, to, and the one fault that this brings. */
const BLOCK_FAULTS = [
  ['name = "Bench thicknesser"', 'name = 7', 'bad-value name'],
  ['unit = "mm"', 'unit = "inch"', 'bad-value unit'],
  ['unit = "mm"', 'Unit = "mm"', 'unknown-key Unit'],
  ['["1", "2", "3", "4"]', '4', 'bad-value block.knives'],
  ['["1", "2", "3", "4"]', '["1", " "]', 'bad-value block.knives[2]'],
  ['["1", "2", "3", "4"]', '["1", "a", "A"]', 'equal-ids block.knives[3]'],
  ['["1", "2", "3", "4"]', '["1", "Mean"]', 'reserved-id block.knives[2]'],
  ['cutting_diameter = 120', 'cutting_diameter = 0', 'bad-value block.cutting_diameter'],
  ['cutting_diameter = 120', 'cutting_diameter = inf', 'bad-value block.cutting_diameter'],
  ['cutting_diameter = 120', 'cutting_diameter = true', 'bad-value block.cutting_diameter'],
  ['cutting_diameter = 120', 'cutting_diameter = "120 kg"', 'bad-value block.cutting_diameter'],
  ['cutting_diameter = 120', 'cutting_diameter = "12,5 in"', 'bad-value block.cutting_diameter'],
  ['speed = "4500 rpm"', 'speed = "0 rpm"', 'bad-value block.speed'],
  ['speed = "9 m/min"', 'speed = 9', 'bad-value feed.speed'],
  ['speed = "9 m/min"', 'speed = "9 rpm"', 'bad-value feed.speed'],
  ['max_projection = 1.1', 'max_projection = -1.1', 'bad-value block.max_projection'],
  ['knife = "1", x = 40', 'knife = "1", x = 600', 'off-block block.projection.x'],
  ['knife = "1", x = 40', 'x = 40', 'missing-key block.projection.knife'],
  ['knife = "1", x = 40', 'knife = "5", x = 40', 'unknown-knife block.projection.knife'],
  ['value = 0.9', 'value = nan', 'bad-value block.projection.value'],
];

const OTHER_FAULTS = [
  ['at = [40, 480]', 'at = [40]', 'bad-value adjusters.at'],
  ['at = [40, 480]', 'at = [40, 40]', 'bad-value adjusters.at[2]'],
  ['at = [40, 480]', 'at = [480, 40]', 'bad-value adjusters.at[2]'],
  ['at = [40, 480]', 'at = [-1, 480]', 'off-block adjusters.at[1]'],
  ['at = [40, 480]', 'at = [40, 520.1]', 'off-block adjusters.at[2]'],
  ['at = [40, 480]', '', 'missing-key adjusters.at'],
  ['kind = "screw"', 'kind = "lever"', 'bad-value adjusters.kind'],
  ['kind = "screw"', 'kind = "screw"\nstock = [0.1]', 'wrong-kind adjusters.stock'],
  ['thread = "M6"', 'thread = "M6x0.9"', 'bad-value adjusters.thread'],
  ['thread = "M6"', 'thread = "M6"\npitch = 1', 'bad-value adjusters.pitch'],
  ['thread = "M6"\nlift_per_turn = 1.0', '', 'missing-key adjusters.thread'],
  ['lift_per_turn = 1.0', 'lift_per_turn = 0', 'bad-value adjusters.lift_per_turn'],
  ['raised_by = "anticlockwise"', '', 'missing-key adjusters.raised_by'],
  ['finest_turn = "1/16"', '', 'missing-key adjusters.finest_turn'],
  ['finest_turn = "1/16"', 'finest_turn = "1/0"', 'bad-value adjusters.finest_turn'],
  ['finest_turn = "1/16"', 'finest_turn = -0.1', 'bad-value adjusters.finest_turn'],
  ['turn_sd = 0.01', 'turn_sd = 0', 'bad-value adjusters.turn_sd'],
  ['approach = "raise"', 'approach = "up"', 'bad-value adjusters.approach'],
  ['["front", "back"]', '["front", "Front"]', 'bad-value adjusters.names'],
  ['["front", "back"]', '["front"]', 'bad-value adjusters.names'],
  ['["front", "back"]', '["front", ""]', 'bad-value adjusters.names[2]'],
  ['repeatability = 0.005', 'repeatability = 0', 'bad-value bed.repeatability'],
  ['repeatability = 0.005', 'repeatability = "none"', 'bad-value bed.repeatability'],
  ['at = [60, 460]', '', 'missing-key bed.at'],
  ['at = [60, 460]', 'at = []', 'bad-value bed.at'],
  ['thread = "M8"', 'thread = "M8"\npitch = 1.25', 'bad-value bed.pitch'],
  ['fitted = 2026-11-20', 'fitted = 20', 'bad-value set.fitted'],
  ['present = false', 'present = "no"', 'bad-value outfeed.present'],
  ['bed = 0.1', 'bed = 0', 'bad-value tolerance.bed'],
  ['reading_sd = 0.008', 'reading_sd = 0', 'bad-value instrument.reading_sd'],
  ['"flat 3 mm"', '"round"', 'bad-value instrument.contact'],
  ['"flat 3 mm"', '"flat"', 'bad-value instrument.contact'],
  ['"flat 3 mm"', '"ball -3 mm"', 'bad-value instrument.contact'],
  ['"flat 3 mm"', '"point 3 mm"', 'bad-value instrument.contact'],
  ['[feed]', '[[feed]]', 'bad-value feed'],
];

describe('one change to a right machine on screws is refused', () => {
  test.each([...BLOCK_FAULTS, ...OTHER_FAULTS])('%s → %s', async (from, to, fault) => {
    expect(await faultsOf(edited(SCREWS, from!, to!))).toEqual([fault]);
  });

  test.each([
    [[0, 90, 180], 'bad-value block.angles'],
    [[0, 90, 90, 270], 'bad-value block.angles'],
    [[0, 90, 180, 360], 'bad-value block.angles'],
  ])('angles %j', async (angles, fault) => {
    const text = edited(SCREWS, '[feed]', `angles = [${angles}]\n[feed]`);
    expect(await faultsOf(text)).toEqual([fault]);
  });

  test('more than 24 knives', async () => {
    const ids = (count: number) => Array.from({ length: count }, (_, k) => `"k${k}"`).join(', ');
    const withKnives = (count: number) =>
      edited(edited(SCREWS, '"1", "2", "3", "4"', ids(count)), 'knife = "1"', 'knife = "k0"');
    expect(await faultsOf(withKnives(25))).toEqual(['bad-value block.knives']);
    expect((await readText(withKnives(24))).machine).not.toBeNull();
  });
});

describe('one change to a right machine on shims is refused', () => {
  const STOCK = 'stock = [0.02, { thickness = 0.05, count = 6 }, "0.1 mm"]';
  test.each([
    ['["red", "blue"]', '[]', 'bad-value block.knives'],
    ['[block]', 'feed = 5\n[block]', 'bad-value feed'],
    [STOCK, '', 'missing-key adjusters.stock'],
    [STOCK, 'stock = []', 'bad-value adjusters.stock'],
    [STOCK, 'stock = [0.05, "50 µm"]', 'bad-value adjusters.stock[2]'],
    [STOCK, 'stock = [0]', 'bad-value adjusters.stock[1]'],
    [STOCK, 'stock = [{ count = 6 }]', 'missing-key adjusters.stock[1].thickness'],
    [STOCK, 'stock = [{ thickness = 0.1, count = 1.5 }]', 'bad-value adjusters.stock[1].count'],
    [STOCK, 'stock = [{ thickness = 0.1, coun = 1 }]', 'unknown-key adjusters.stock[1].coun'],
    ['kind = "shim"', 'kind = "shim"\nmost = 0', 'bad-value adjusters.most'],
    ['kind = "shim"', 'kind = "shim"\nthread = "M6"', 'wrong-kind adjusters.thread'],
    ['kind = "shim"', 'kind = "shim"\nfinest_turn = 1', 'wrong-kind adjusters.finest_turn'],
  ])('%s → %s', async (from, to, fault) => {
    expect(await faultsOf(edited(SHIMS, from, to))).toEqual([fault]);
  });
});

describe('unknown keys', () => {
  const hintFor = async (from: string, to: string) => {
    const { notices } = await readText(edited(SCREWS, from, to));
    return notices.find(({ code }) => code === 'unknown-key')?.hint;
  };

  test('the nearest known one is suggested, or the table where the key belongs', async () => {
    expect(await hintFor('cutting_diameter', 'cuttingDiameter')).toMatch(/mean cutting_diameter\?/);
    expect(await hintFor('raised_by', 'raise_by')).toBe('Did you mean raised_by?');
    expect(await hintFor('unit = "mm"', 'unit = "mm"\nknives = 4')).toMatch(/under \[block\]/);
    expect(await hintFor('[outfeed]', '[out_feed]')).toBe('Did you mean outfeed?');
    expect(await hintFor('x = 40, ', 'y = 40, x = 40, ')).toBe('Known here: knife, x, value.');
  });
});

describe('warnings leave a machine, and say what to look at', () => {
  test.each([
    ['speed = "4500 rpm"', 'speed = "95 rev/s"', 'over-speed block.speed'],
    ['value = 0.9', 'value = 1.2', 'over-projection block.projection'],
    ['cutting_diameter = 120', 'cutting_diameter = 4.7', 'implausible block.cutting_diameter'],
    ['cutting_diameter = 120', 'cutting_diameter = "18 in"', 'implausible block.cutting_diameter'],
    ['speed = "9 m/min"', 'speed = "9 m/s"', 'implausible feed.speed'],
    ['finest_turn = "1/16"', 'finest_turn = 15', 'implausible adjusters.finest_turn'],
    ['thread = "M6"', 'pitch = 28', 'implausible adjusters.pitch'],
    ['lift_per_turn = 1.0', 'lift_per_turn = 10', 'implausible adjusters.lift_per_turn'],
    ['knife = 0.05', 'knife = "0.05 in"', 'implausible tolerance.knife'],
    ['resolution = 0.01', 'resolution = "0.01 in"', 'implausible instrument.resolution'],
  ])('%s → %s', async (from, to, warning) => {
    const reading = await readText(edited(SCREWS, from, to));
    expect(reading.machine).not.toBeNull();
    expect(reading.notices.map(({ severity }) => severity)).toEqual(['warning']);
    expect(inShort(reading)[0]).toMatch(new RegExp(`^\\d+:\\d+ ${warning}$`));
    expect(reading.notices[0]!.hint).toBeTruthy();
  });

  test('a speed at its limit is not above it', async () => {
    const { notices } = await readText(edited(SCREWS, '"4500 rpm"', '"5500 rpm"'));
    expect(notices).toEqual([]);
  });
});
