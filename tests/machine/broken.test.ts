import { describe, expect, test } from 'vitest';
import { readMachine } from '../../src/machine/read-machine.js';
import { inShort, readFixture, readText } from './files.js';

describe('every fault of a file at once, each at its line and column', () => {
  test.each([
    [
      'many-faults.toml',
      [
        '1:8 bad-value name',
        '3:1 unknown-key colour',
        '5:1 missing-key block.length',
        '6:21 equal-ids block.knives[3]',
        '6:26 reserved-id block.knives[4]',
        '7:20 bad-value block.cutting_diameter',
        '8:1 unknown-key block.lenght',
        '9:9 bad-value block.speed',
        '10:24 unknown-knife block.projection.knife',
        '13:9 bad-value feed.speed',
        '15:1 missing-key adjusters.finest_turn',
        '17:12 bad-value adjusters.at[2]',
        '18:9 bad-value adjusters.pitch',
        '19:13 bad-value adjusters.raised_by',
        '20:1 wrong-kind adjusters.stock',
        '23:9 bad-value tolerance.knife',
        '24:7 bad-value tolerance.bed',
      ],
    ],
    [
      'number-ids.toml',
      [
        '4:11 bad-value block.knives[1]',
        '4:14 bad-value block.knives[2]',
        '9:11 off-block adjusters.at[2]',
        '10:10 bad-value adjusters.thread',
      ],
    ],
    [
      'shim-with-screws.toml',
      [
        '3:1 missing-key block.projection',
        '9:1 missing-key adjusters.stock',
        '11:6 bad-value adjusters.at',
        '12:1 wrong-kind adjusters.thread',
        '13:8 bad-value adjusters.most',
      ],
    ],
    ['decimal-comma.toml', ['10:10 toml-syntax not']],
    ['twice.toml', ['6:1 toml-syntax not']],
    ['readings.csv', ['1:6 toml-syntax not']],
  ])('%s', async (name, faults) => {
    const reading = await readFixture(`broken/${name}`);
    expect(reading.machine).toBeNull();
    expect(inShort(reading)).toEqual(faults);
    for (const notice of reading.notices) {
      expect(notice).toMatchObject({ severity: 'error', file: `broken/${name}` });
      expect(notice.hint).toBeTruthy();
    }
  });
});

describe('hints', () => {
  const hintOf = async (name: string, line: number) =>
    (await readFixture(`broken/${name}`)).notices.find((notice) => notice.line === line)?.hint;

  test('name the nearest key, the right notation, the right file', async () => {
    expect(await hintOf('many-faults.toml', 8)).toBe('Did you mean length?');
    expect(await hintOf('decimal-comma.toml', 10)).toMatch(/1\.5, not 1,5/);
    expect(await hintOf('twice.toml', 6)).toMatch(/one of the two/);
    expect(await hintOf('readings.csv', 1)).toMatch(/machine file first, then the readings/);
  });

  test.each([
    ['speed = 4500 rpm', /quotes: "4500 rpm"/],
    ['raised_by = clockwise', /quotes/],
    ['thread = “M6”', /straight quotes/],
    ['at = [40 480]', /commas/],
    ['length: 520', /=/],
    ['{ "schema": "x" }', /another kind of file/],
  ])('for the slip %s', async (line, hint) => {
    const { machine, notices } = await readText(line);
    expect(machine).toBeNull();
    expect(notices).toHaveLength(1);
    expect(notices[0]!.hint).toMatch(hint);
  });
});

describe('files that are no TOML text', () => {
  const read = (content: Uint8Array) => readMachine({ name: 'm.toml', content });

  test.each([
    ['nothing', new Uint8Array(), 'empty-file', 1],
    ['only blanks', new TextEncoder().encode(' \r\n\n'), 'empty-file', 1],
    ['a workbook', new Uint8Array([0x50, 0x4b, 3, 4, 20, 0, 0, 0, 8, 0]), 'not-text', 1],
    [
      'Latin-1',
      new Uint8Array([...new TextEncoder().encode('name = "x"\nk = "5 '), 0xb5, 0x6d, 0x22]),
      'not-text',
      2,
    ],
    ['half of UTF-16', new Uint8Array([0xff, 0xfe, 0x61, 0, 0x62]), 'not-text', 1],
  ])('%s', async (_, content, code, line) => {
    const { machine, notices } = await read(content);
    expect(machine).toBeNull();
    expect(notices).toHaveLength(1);
    expect(notices[0]).toMatchObject({ code, line, column: 1, severity: 'error', file: 'm.toml' });
    expect(notices[0]!.hint).toBeTruthy();
  });

  test('only comments: the required keys are asked for', async () => {
    expect(inShort(await readText('# nothing yet\n'))).toEqual([
      '1:1 missing-key name',
      '1:1 missing-key block',
      '1:1 missing-key adjusters',
    ]);
  });

  test('keys that every object has do not get through', async () => {
    const reading = await readText('[__proto__]\npolluted = 1\n[constructor]\nx = 1\n');
    expect(reading.machine).toBeNull();
    expect(reading.notices.map(({ code }) => code)).toContain('unknown-key');
    expect(({} as Record<string, unknown>).polluted).toBeUndefined();
  });
});
