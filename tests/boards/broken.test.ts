import { describe, expect, test } from 'vitest';
import { fixtureNames, inShort, readBroken, readFixtures } from './files.js';

const FAULTS: Record<string, readonly string[]> = {
  'all-comments.csv': ['1:1 error no-readings'],
  'ambiguous-thousands.csv': ['3:9 error ambiguous-number'],
  'binary.csv': ['1:1 error not-a-csv-file'],
  'blank.csv': ['1:1 error no-readings'],
  'broken-quote.csv': ['2:18 error broken-quote'],
  'carry-beyond.csv': [
    '3:6 error no-carry',
    '4:6 error no-carry',
    '5:6 error no-carry',
    '6:7 error no-carry',
    '7:7 error no-carry',
  ],
  'carry-column-missing.csv': ['1:1 error missing-column'],
  'carry-header-only.csv': ['1:1 error no-readings'],
  'carry-knives.csv': [
    '3:1 error not-one-knife',
    '4:1 error unknown-knife',
    '5:1 error unknown-knife',
    '6:1 error knife-missing',
  ],
  'carry-of-gauge.csv': ['1:1 error wrong-kind'],
  'carry-of-marks.csv': ['1:1 error wrong-kind'],
  'carry-positions.csv': [
    '2:3 error off-the-block',
    '3:3 error position-not-a-length',
    '4:3 error position-missing',
  ],
  'carry-split-decimals.csv': ['2:8 error split-decimals'],
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
  'gauge-beyond.csv': [
    '3:6 error no-gauge-reading',
    '4:6 error no-gauge-reading',
    '5:6 error no-gauge-reading',
    '6:7 error unknown-unit',
    '7:7 error no-gauge-reading',
    '8:7 error not-a-number',
    '9:7 error not-a-number',
  ],
  'gauge-column-missing.csv': ['1:1 error missing-column'],
  'gauge-dates.csv': [
    '2:6 error date-not-number',
    '3:6 error date-not-number',
    '4:6 error formula-not-number',
  ],
  'gauge-decimals.csv': ['4:6 error mixed-decimal-marks'],
  'gauge-divisions.csv': ['1:9 error divisions-for-lengths'],
  'gauge-fields.csv': [
    '2:14 error too-many-fields',
    '3:3 info not-measured',
    '4:1 error too-few-fields',
    '5:6 error too-few-fields',
  ],
  'gauge-header-only.csv': ['1:1 error no-readings'],
  'gauge-header-unit.csv': ['1:9 error unknown-unit'],
  'gauge-header.csv': [
    '1:17 error misspelt-column',
    '1:26 error duplicate-header',
    '1:33 error misspelt-column',
  ],
  'gauge-knives.csv': [
    '3:1 error not-one-knife',
    '4:1 error not-one-knife',
    '5:1 error unknown-knife',
    '6:1 error knife-missing',
    '7:1 error unknown-knife',
  ],
  'gauge-of-carries.csv': ['2:1 error wrong-kind'],
  'gauge-of-grid.csv': ['1:1 error wrong-kind'],
  'gauge-of-marks.csv': ['1:1 error wrong-kind'],
  'gauge-of-thicknesses.csv': ['1:1 error wrong-kind'],
  'gauge-places.csv': ['1:1 error position-counted'],
  'gauge-positions.csv': [
    '2:3 error position-not-a-length',
    '3:3 error off-the-block',
    '4:3 error off-the-block',
    '5:3 error position-missing',
  ],
  'gauge-second-table.csv': ['3:1 error second-table'],
  'gauge-split-decimals.csv': ['2:8 error split-decimals', '3:9 error split-decimals'],
  'gauge-split-zeros.csv': ['2:8 error split-decimals', '3:8 error split-decimals'],
  'gauge-swallowed.csv': ['2:11 error unclosed-quote'],
  'gauge-thousands.csv': ['2:6 error ambiguous-number'],
  'gauge-unit-above.csv': ['1:1 error unit-in-a-comment'],
  'gauge-unmeasured.csv': ['1:1 error no-readings', '3:6 info not-measured'],
  'gauge-zeros.csv': [
    '3:11 error zero-missing',
    '4:12 error zero-missing',
    '5:6 error zero-missing',
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
  'marks-boards.csv': [
    '3:1 error board-missing',
    '4:1 error reserved-id',
    '5:1 error board-missing',
  ],
  'marks-column-missing.csv': ['1:1 error missing-column'],
  'marks-header-only.csv': ['1:1 error no-readings'],
  'marks-knives.csv': [
    '3:13 error not-one-knife',
    '4:13 error unknown-knife',
    '6:13 error unknown-knife',
  ],
  'marks-of-carries.csv': ['1:1 error wrong-kind'],
  'marks-of-gauge.csv': ['1:1 error wrong-kind'],
  'marks-of-thicknesses.csv': ['1:17 error wrong-kind'],
  'marks-positions.csv': [
    '2:4 error off-the-block',
    '3:8 error off-the-board',
    '4:8 error off-the-board',
    '5:4 error position-missing',
    '6:8 error position-not-a-length',
  ],
  'marks-split-decimals.csv': ['2:11 error split-decimals', '3:11 error split-decimals'],
  'marks-swallowed.csv': ['2:13 error unclosed-quote'],
  'marks-units.csv': ['2:12 error unit-of-which', '4:13 error unknown-unit'],
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
  'thicknesses-of-carries.csv': ['1:1 error wrong-kind'],
  'thicknesses-of-gauge.csv': ['1:1 error wrong-kind'],
  'thicknesses-of-marks.csv': ['1:1 error wrong-kind'],
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
    const result = readBroken(name);
    expect(inShort(result)).toEqual(faults);
    expect(result.readings).toEqual([]);
  });

  test('every error says what was expected and what to do', () => {
    const notices = Object.keys(FAULTS).flatMap((name) => readBroken(name).notices);
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

  test.each([
    ['gauge-of-marks.csv', 'knife marks', '--marks'],
    ['gauge-of-thicknesses.csv', 'thickness readings', 'READINGS'],
    ['gauge-of-grid.csv', 'thickness readings', 'READINGS'],
    ['gauge-of-carries.csv', 'carries', '--carry'],
    ['carry-of-gauge.csv', 'gauge readings', '--gauge'],
    ['carry-of-marks.csv', 'knife marks', '--marks'],
    ['marks-of-thicknesses.csv', 'thickness readings', 'READINGS'],
    ['marks-of-gauge.csv', 'gauge readings', '--gauge'],
    ['marks-of-carries.csv', 'carries', '--carry'],
    ['thicknesses-of-marks.csv', 'knife marks', '--marks'],
    ['thicknesses-of-gauge.csv', 'gauge readings', '--gauge'],
    ['thicknesses-of-carries.csv', 'carries', '--carry'],
  ])('%s: which kind of file it looks like, and where that belongs', (name, kind, place) => {
    const [notice] = readBroken(name).notices;
    expect(notice?.message).toMatch(new RegExp(`^these look like ${kind}`));
    expect(notice?.hint).toContain(place);
  });

  test('what belongs in place of a knife that cannot stand there', () => {
    expect(readBroken('gauge-knives.csv').notices[0]?.expected).toBe('1, 2, 3, 4 or body');
    expect(readBroken('gauge-knives.csv').notices[0]?.hint).toContain('body');
    expect(readBroken('carry-knives.csv').notices[0]?.expected).toBe('1, 2, 3 or 4');
    expect(readBroken('marks-knives.csv').notices[0]?.hint).toContain('leave the cell empty');
  });

  test('a carry that is none: the unit, the reading of the rule, the rule that did not move, a date', () => {
    const hints = readBroken('carry-beyond.csv').notices.map(({ hint }) => hint);
    expect(hints[0]).toMatch(/unit.*how far the rule moved/);
    expect(hints[1]).toContain('0 where the edge did not move the rule');
    expect(hints[2]).not.toContain('how far');
    expect(hints[4]).toContain('date');
  });
});
