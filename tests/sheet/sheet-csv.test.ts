import fc from 'fast-check';
import { expect, test } from 'vitest';
import { readBoards } from '../../src/boards/read-boards.js';
import type { Machine } from '../../src/machine/machine.js';
import type { Entry } from '../../src/sheet/entry.js';
import { readEntry } from '../../src/sheet/entry.js';
import type { Place } from '../../src/sheet/places.js';
import { readSheet, type Sheet, withEntries } from '../../src/sheet/read-sheet.js';
import { KEPT_NOTE, sheetCsv } from '../../src/sheet/sheet-csv.js';
import { machineOf } from './measured.js';

/** Of the bench machine. */
const NAME = 'Bench thicknesser';

const demo = await machineOf('demo/machine.toml');

function fileOf(text: string) {
  return { name: 'sheet.csv', content: new TextEncoder().encode(text) };
}

/** A sheet that has to be one. */
function sheetOf(text: string, machine: Machine = demo): Sheet {
  const { sheet, notices } = readSheet(fileOf(text), machine);
  expect(notices.filter(({ severity }) => severity === 'error')).toEqual([]);
  return sheet!;
}

function entry(text: string, unit: 'mm' | 'in' = 'mm', isKept = false): Entry {
  const reading = readEntry(text, unit);
  if (!reading.ok) throw new Error(reading.problem);
  return { thickness: reading.thickness, cell: reading.cell, isKept };
}

const id = fc.oneof(
  fc.string({ unit: fc.constantFrom(...'ABaz019 -_.,;"\'#=+@é'), minLength: 1, maxLength: 6 }),
  fc.constantFrom('007', '1', 'N/A', '-', '#1', '=A1', "'x", 'a,b', 'say "x"'),
);
const RESERVED = ['all', 'body', 'mean', 'bed', 'highest', 'lowest'];
const usable = id.filter((text) => text.trim() === text && !RESERVED.includes(text.toLowerCase()));

const jobs = fc
  .record({
    board: fc.array(usable, { minLength: 1, maxLength: 3 }),
    knives: fc.uniqueArray(usable, { minLength: 1, maxLength: 4 }),
    x: fc.uniqueArray(fc.integer({ min: 0, max: 52_000 }), { minLength: 1, maxLength: 4 }),
    y: fc.uniqueArray(fc.integer({ min: 0, max: 100_000 }), { minLength: 1, maxLength: 3 }),
    thicknesses: fc.array(fc.option(fc.integer({ min: 300, max: 50_000 })), { minLength: 200 }),
    unit: fc.constantFrom('mm', 'in'),
  })
  .map(({ board, knives, x, y, thicknesses, unit }) => {
    const places = [...new Set(board)].flatMap((name) =>
      knives.flatMap((knife) =>
        y.flatMap((along) =>
          x.map((at): Place => {
            return { board: name, cut: 'hand', knife, x: at / 100, y: along / 100 };
          }),
        ),
      ),
    );
    const entries = places.map((_, i) => {
      const hundredths = thicknesses[i] ?? null;
      return hundredths === null
        ? null
        : entry(`${(hundredths / 100).toFixed(2)} mm`, unit, i % 5 === 0);
    });
    const machine = { ...demo, block: { ...demo.block, knives } };
    return { places, entries, machine, unit };
  });

test('a sheet reads back to its places and entries, whatever boards and knives are called', () => {
  fc.assert(
    fc.property(jobs, ({ places, entries, machine, unit }) => {
      const sheet = sheetOf(sheetCsv(places, unit, entries, NAME), machine);
      expect(sheet.rows).toHaveLength(places.length);
      sheet.rows.forEach((row, i) => {
        const { x, y, ...who } = row.place;
        const { x: wantedX, y: wantedY, ...wanted } = places[i]!;
        expect(who).toEqual(wanted);
        expect(x).toBeCloseTo(wantedX, 6);
        expect(y).toBeCloseTo(wantedY, 6);
        expect(row.entry).toEqual(entries[i]);
      });
    }),
    { numRuns: 150 },
  );
});

test('what analyse reads of a sheet are its entries and nothing else, without a warning', () => {
  fc.assert(
    fc.property(jobs, ({ places, entries, machine, unit }) => {
      fc.pre(entries.some((each) => each !== null));
      const read = readBoards([fileOf(sheetCsv(places, unit, entries, NAME))], machine);
      expect(read.notices).toEqual([]);
      const wanted = entries.flatMap((each) => each?.thickness ?? []);
      expect(read.readings.map(({ thickness }) => thickness)).toEqual(wanted);
    }),
    { numRuns: 100 },
  );
});

test('filling a blank sheet in comes to the same as writing it filled in', () => {
  fc.assert(
    fc.property(jobs, ({ places, entries, machine, unit }) => {
      const blank = places.map(() => null);
      const sheet = sheetOf(sheetCsv(places, unit, blank, NAME), machine);
      expect(withEntries(sheet, entries, unit)).toBe(sheetCsv(places, unit, entries, NAME));
      const full = sheetOf(sheetCsv(places, unit, entries, NAME), machine);
      expect(withEntries(full, entries, unit)).toBe(full.text);
      expect(withEntries(full, blank, unit)).toBe(sheet.text);
    }),
    { numRuns: 100 },
  );
});

test('a sheet of half a machine reads back within a hundred-millionth of a millimetre, in inches too', () => {
  const places: Place[] = [0, 1 / 3, 520].map((x) => ({
    board: 'F1',
    cut: 'full',
    knife: 'all',
    x,
    y: 1000 / 7,
  }));
  for (const unit of ['mm', 'in'] as const) {
    const { rows } = sheetOf(sheetCsv(places, unit, [null, null, null], NAME));
    rows.forEach(({ place }, i) => {
      expect(place.x).toBeCloseTo(places[i]!.x, 7);
      expect(place.y).toBeCloseTo(1000 / 7, 7);
    });
  }
});

/** A sheet as somebody's spreadsheet may have saved it, and what one entry makes of it. */
const DIALECTS: readonly {
  readonly what: string;
  readonly before: string;
  readonly at: number;
  readonly entry: Entry | null;
  readonly unit?: 'mm' | 'in';
  readonly after: string;
}[] = [
  {
    what: 'semicolons and decimal commas, CRLF, a byte-order mark',
    before: '\ufeffboard;knife;x;y;thickness;note\r\nH1;1;40,5;40;20,01;\r\nH1;2;40,5;70;;wet\r\n',
    at: 1,
    entry: entry('20.03'),
    after:
      '\ufeffboard;knife;x;y;thickness;note\r\nH1;1;40,5;40;20,01;\r\nH1;2;40,5;70;20,03;wet\r\n',
  },
  {
    what: 'semicolons and no decimal yet',
    before: 'board;knife;x;y;thickness\nH1;1;40;40;\nH1;2;40;70;\n',
    at: 0,
    entry: entry('20.03'),
    after: 'board;knife;x;y;thickness\nH1;1;40;40;20,03\nH1;2;40;70;\n',
  },
  {
    what: 'semicolons and decimal points',
    before: 'board;knife;x;y;thickness\nH1;1;40.5;40;\n',
    at: 0,
    entry: entry('20.03'),
    after: 'board;knife;x;y;thickness\nH1;1;40.5;40;20.03\n',
  },
  {
    what: 'commas with decimal commas in quotes',
    before: 'board,knife,x,y,thickness,note\nH1,1,"40,5",40,,"a, b"\n',
    at: 0,
    entry: entry('20.03'),
    after: 'board,knife,x,y,thickness,note\nH1,1,"40,5",40,"20,03","a, b"\n',
  },
  {
    what: 'tabs',
    before: 'board\tknife\tx\ty\tthickness\nH1\t1\t40\t40\t\n',
    at: 0,
    entry: entry('20.03'),
    after: 'board\tknife\tx\ty\tthickness\nH1\t1\t40\t40\t20.03\n',
  },
  {
    what: 'a sep= line',
    before: 'sep=;\nboard;knife;x;y;thickness\nH1;1;40;40;\n',
    at: 0,
    entry: entry('20.03'),
    after: 'sep=;\nboard;knife;x;y;thickness\nH1;1;40;40;20,03\n',
  },
  {
    what: 'a title, comments, further columns, an odd order, no last line end',
    before:
      'My boards\n# cut on "Friday, late"\nnote,thickness [mm],Y,X,knife,board,moisture\n"oak, ""wet""\nand cold",,40,40,1,H1,12 %\n# halfway\n,20.01,70,40,2,H1,9 %',
    at: 0,
    entry: entry('20.03'),
    after:
      'My boards\n# cut on "Friday, late"\nnote,thickness [mm],Y,X,knife,board,moisture\n"oak, ""wet""\nand cold",20.03,40,40,1,H1,12 %\n# halfway\n,20.01,70,40,2,H1,9 %',
  },
  {
    what: 'a row that ends before its thickness',
    before: 'board,knife,x,y,thickness,note\nH1,1,40,40\nH1,2,40,70,20.01\n',
    at: 0,
    entry: entry('20.51', 'mm', true),
    after: `board,knife,x,y,thickness,note\nH1,1,40,40,20.51,${KEPT_NOTE}\nH1,2,40,70,20.01\n`,
  },
  {
    what: 'a row that ends before its note',
    before: 'board,knife,x,y,thickness,note\nH1,1,40,40,20.01\n',
    at: 0,
    entry: entry('20.51', 'mm', true),
    after: `board,knife,x,y,thickness,note\nH1,1,40,40,20.51,${KEPT_NOTE}\n`,
  },
  {
    what: 'a dash for a place not measured',
    before: 'board,knife,x,y,thickness\nH1,1,40,40,-\n',
    at: 0,
    entry: entry('20.03'),
    after: 'board,knife,x,y,thickness\nH1,1,40,40,20.03\n',
  },
  {
    what: 'a column in inches',
    before: 'board,knife,x,y,thickness (in)\nH1,1,40,40,0.7874\nH1,2,40,70,\n',
    at: 1,
    entry: entry('20.03'),
    after: 'board,knife,x,y,thickness (in)\nH1,1,40,40,0.7874\nH1,2,40,70,20.03 mm\n',
  },
  {
    what: 'a unit column',
    before: 'board,knife,x,y,thickness,unit\nH1,1,40,40,,in\nH1,2,40,70,,\n',
    at: 0,
    entry: entry('25/32', 'in'),
    unit: 'in',
    after: 'board,knife,x,y,thickness,unit\nH1,1,40,40,0.78125,in\nH1,2,40,70,,\n',
  },
  {
    what: "a note of its owner's own",
    before: 'board,knife,x,y,thickness,note\nH1,1,40,40,,knot\n',
    at: 0,
    entry: entry('20.51', 'mm', true),
    after: 'board,knife,x,y,thickness,note\nH1,1,40,40,20.51,knot\n',
  },
  {
    what: 'a reading that was kept and is right now',
    before: `board,knife,x,y,thickness,note\nH1,1,40,40,20.51,${KEPT_NOTE}\n`,
    at: 0,
    entry: entry('20.03'),
    after: 'board,knife,x,y,thickness,note\nH1,1,40,40,20.03,\n',
  },
  {
    what: 'a reading that is taken away',
    before: `board,knife,x,y,thickness,note\nH1,1,40,40,20.51,${KEPT_NOTE}\n`,
    at: 0,
    entry: null,
    after: 'board,knife,x,y,thickness,note\nH1,1,40,40,,\n',
  },
];

test.each(DIALECTS)('$what: one field changes and nothing else', (dialect) => {
  const { before, at, entry: wanted, unit = 'mm', after } = dialect;
  const sheet = sheetOf(before);
  const entries = sheet.rows.map((row, i) => (i === at ? wanted : row.entry));
  const text = withEntries(sheet, entries, unit);
  expect(text).toBe(after);
  const again = sheetOf(text);
  expect(again.rows[at]!.entry?.thickness).toBe(wanted?.thickness);
  again.rows.forEach((row, i) => {
    if (i !== at) expect(row.entry).toEqual(sheet.rows[i]!.entry);
    expect(row.place).toEqual(sheet.rows[i]!.place);
  });
});

test('a row that names no place is left as it is', () => {
  const text = 'board,knife,x,y,thickness,note\n,,,,,first the wide board\nH1,1,40,40,,\n';
  const { rows } = sheetOf(text);
  expect(rows.map(({ line }) => line)).toEqual([3]);
});

test.each([
  ['UTF-16', new Uint8Array([0xff, 0xfe, 0x62, 0x00, 0x6f, 0x00]), 'not-utf-8', /CSV UTF-8/],
  ['a grid', '# board: A\n# knife: 1\n,40,150\n40,20.01,20.02\n', 'missing-column', /header row/],
  [
    'a blank row of an unknown knife',
    'board,knife,x,y,thickness\nH1,1,40,40,20.01\nH1,9,40,70,\n',
    'unknown-knife',
    /nearest/,
  ],
  [
    'a blank row off the block',
    'board,knife,x,y,thickness\nH1,1,4000,40,\n',
    'off-the-block',
    /measure x/,
  ],
  ['a header alone', 'board,knife,x,y,thickness\n', 'no-readings', /fill in/],
  ['a wrong thickness', 'board,knife,x,y,thickness\nH1,1,40,40,0.8\n', 'no-thickness', /inches/],
])('%s is refused, and what to do is said', (_, content, code, hint) => {
  const file = typeof content === 'string' ? fileOf(content) : { name: 'sheet.csv', content };
  const { sheet, notices } = readSheet(file, demo);
  expect(sheet).toBeNull();
  const [first] = notices;
  expect(first).toMatchObject({ code, severity: 'error', file: 'sheet.csv' });
  expect(first!.hint).toMatch(hint);
});
