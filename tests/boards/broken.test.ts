import { describe, expect, test } from 'vitest';
import { fixtureNames, inShort, readFixtures } from './files.js';

const FAULTS: Record<string, readonly string[]> = {
  'all-comments.csv': ['1:1 error no-readings'],
  'ambiguous-thousands.csv': ['3:9 error ambiguous-number'],
  'binary.csv': ['1:1 error not-a-csv-file'],
  'blank.csv': ['1:1 error no-readings'],
  'broken-quote.csv': ['2:18 error broken-quote'],
  'dates.csv': [
    '3:14 error date-not-number',
    '4:14 error date-not-number',
    '5:13 error date-not-number',
    '6:10 error date-not-number',
    '7:14 error date-not-number',
    '8:13 error no-thickness',
  ],
  'duplicate-header.csv': ['1:27 error duplicate-header'],
  'empty.csv': ['1:1 error empty-file'],
  'fields.csv': [
    '2:21 error too-many-fields',
    '3:6 error too-few-fields',
    '4:1 error too-few-fields',
  ],
  'grid-names.csv': [
    '2:1 error unknown-knife',
    '3:5 error position-not-a-length',
    '3:19 error duplicate-header',
    '5:1 error position-not-a-length',
    '6:1 error position-missing',
  ],
  'grid-without-ids.csv': ['1:1 error board-missing', '1:1 error knife-missing'],
  'header-only.csv': ['1:1 error no-readings'],
  'ids.csv': [
    '2:1 error reserved-id',
    '3:1 error reserved-id',
    '4:1 error board-missing',
    '5:19 error cut-against-knife',
    '6:21 error cut-against-knife',
    '7:19 error unknown-cut',
  ],
  'many-errors.csv': [
    ...Array.from({ length: 20 }, (_, at) => `${at + 2}:4 error unknown-knife`),
    '22:4 error more-errors',
  ],
  'misspelt-columns.csv': ['1:27 error misspelt-column', '1:34 error misspelt-column'],
  'mixed-decimals.csv': ['3:14 error mixed-decimal-marks'],
  'names-for-positions.csv': [
    '2:6 error position-not-a-length',
    '3:6 error position-not-a-length',
    '3:11 error position-not-a-length',
  ],
  'no-header.csv': ['1:1 error missing-column'],
  'not-a-table.csv': ['1:1 error missing-column'],
  'numbers-of-places.csv': ['1:1 error position-counted'],
  'off-the-block.csv': [
    '2:6 error off-the-block',
    '3:6 error off-the-block',
    '4:10 error off-the-board',
    '5:10 error off-the-board',
    '6:6 error position-missing',
  ],
  'old-workbook.xls': ['1:1 error not-a-csv-file'],
  'split-decimals.csv': ['2:16 error split-decimals', '3:17 error split-decimals'],
  'swallowed-rows.csv': ['2:19 error unclosed-quote'],
  'two-grids.csv': [
    '6:1 error key-below-grid',
    '7:1 error key-below-grid',
    '8:1 error position-missing',
  ],
  'unclosed-quote.csv': ['4:20 error unclosed-quote'],
  'units.csv': [
    '1:13 error unknown-unit',
    '2:19 error unknown-unit',
    '3:13 error unknown-unit',
    '3:23 error no-run-number',
  ],
  'unknown-knife.csv': [
    '3:4 error unknown-knife',
    '4:4 error knife-missing',
    '5:4 error unknown-knife',
  ],
  'workbook.csv': ['1:1 error not-a-csv-file'],
  'wrong-thickness.csv': [
    '2:13 error no-thickness',
    '3:13 error no-thickness',
    '4:13 error no-thickness',
    '5:13 error no-thickness',
    '6:13 error not-a-number',
    '7:13 error not-a-number',
    '8:13 error not-a-number',
    '9:13 error not-a-number',
    '10:13 error unknown-unit',
    '11:13 error formula-not-number',
    '12:13 error formula-not-number',
    '13:13 error unusual-fraction',
    '14:13 error no-thickness',
  ],
};

describe('files with faults', () => {
  test('each of them is told here', () => {
    expect(fixtureNames('broken').sort()).toEqual(Object.keys(FAULTS).sort());
  });

  test.each(Object.entries(FAULTS))('%s: every fault at its line and column', (name, faults) => {
    const result = readFixtures('broken', name);
    expect(inShort(result)).toEqual(faults);
    expect(result.readings).toEqual([]);
  });

  test('every error says what was expected and what to do', () => {
    const { notices } = readFixtures('broken', ...Object.keys(FAULTS));
    const errors = notices.filter(
      ({ severity, code }) => severity === 'error' && code !== 'more-errors',
    );
    expect(errors.filter(({ expected, hint }) => !expected || !hint)).toEqual([]);
  });

  test('the errors of all files come in one go, and one of them keeps back all readings', () => {
    const { notices } = readFixtures('broken', 'unknown-knife.csv', 'off-the-block.csv');
    expect(new Set(notices.map(({ file }) => file)).size).toBe(2);
    const mixed = readFixtures('broken', 'unknown-knife.csv');
    expect(mixed.readings).toEqual([]);
  });

  test('how many errors are not shown', () => {
    const { notices } = readFixtures('broken', 'many-errors.csv');
    expect(notices.at(-1)?.message).toBe('5 more errors in this file');
  });

  test('a workbook is told from text by its first bytes, with the way out', () => {
    const { notices } = readFixtures('broken', 'workbook.csv');
    expect(notices[0]?.hint).toContain('save the sheet as CSV');
  });

  test('inches read as millimetres, and a number that was a date, are named as such', () => {
    const [first] = readFixtures('broken', 'wrong-thickness.csv').notices;
    expect(first?.hint).toContain('inches');
    expect(readFixtures('broken', 'dates.csv').notices.at(-1)?.hint).toContain('date');
  });

  test('the nearest knife and the column meant are named', () => {
    expect(readFixtures('broken', 'unknown-knife.csv').notices[2]?.hint).toContain('"all"');
    expect(readFixtures('broken', 'misspelt-columns.csv').notices[0]?.hint).toContain('setting');
  });
});
