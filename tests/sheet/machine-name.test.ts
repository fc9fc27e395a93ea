import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Place } from '../../src/sheet/places.js';
import { isOfAnotherMachine, sheetCsv } from '../../src/sheet/sheet-csv.js';
import { MACHINE, proofboard, root, temporaryFolder, written } from '../cli/program.js';

const PLACES: readonly Place[] = [
  { board: 'H1', cut: 'hand', knife: '1', x: 40, y: 40 },
  { board: 'H1', cut: 'hand', knife: '2', x: 40, y: 70 },
];

const HARD = ['Shop 2, bay "B"; the left one', '"quoted"', 'ends in ;;', 'a,b', 'Ann\'s; 5 1/2"'];

/** A name with no field marks in it is told apart from every other by its letters. */
const name = fc.oneof(
  fc.string({ unit: fc.constantFrom(...'aBé9 ,;"\'#:()-\t'), minLength: 1, maxLength: 20 }),
  fc.constantFrom(...HARD),
);

/** A sheet as a spreadsheet saves it: every row as wide as the widest, fields quoted where they must be. */
function saved(csv: string, separator: string, end = '\r\n'): string {
  const rows = csv.trimEnd().split('\n');
  // Comments hold no comma, so they open as one cell.
  const cells = rows.map((row) => (row.startsWith('#') ? [row] : row.split(',')));
  const width = Math.max(...cells.map((row) => row.length));
  const quoted = (text: string) =>
    text.includes(separator) || text.includes('"') ? `"${text.replaceAll('"', '""')}"` : text;
  const lines = cells.map((row) =>
    [...row, ...Array.from({ length: width - row.length }, () => '')].map(quoted).join(separator),
  );
  return lines.map((line) => line + end).join('');
}

/** A comment that somebody's program quotes though it need not. */
function commentsQuoted(csv: string): string {
  return csv.replaceAll(/^#.*$/gm, (line) => `"${line.replaceAll('"', '""')}",,`);
}

describe('a sheet says whose it is', () => {
  const dialects: readonly ((csv: string) => string)[] = [
    (csv) => csv,
    (csv) => saved(csv, ';'),
    (csv) => saved(csv, ','),
    (csv) => saved(csv, '\t'),
    (csv) => saved(csv, ';', '\n'),
    (csv) => `\ufeff${saved(csv, ';')}`,
    commentsQuoted,
  ];

  test('and is known again, whatever the machine is called and whatever saved it', () => {
    fc.assert(
      fc.property(name, fc.constantFrom(...dialects), (machine, save) => {
        const text = save(sheetCsv(PLACES, 'mm', [null, null], machine));
        expect(isOfAnotherMachine(text, machine)).toBe(false);
      }),
      { numRuns: 300 },
    );
  });

  test('and is not taken for that of another', () => {
    fc.assert(
      fc.property(name, fc.constantFrom(...dialects), (machine, save) => {
        const text = save(sheetCsv(PLACES, 'mm', [null, null], machine));
        expect(isOfAnotherMachine(text, `${machine} II`)).toBe(true);
        expect(isOfAnotherMachine(text, `New ${machine}`)).toBe(true);
      }),
      { numRuns: 300 },
    );
  });

  test('in a comment without field marks, so that no spreadsheet cuts it up', () => {
    for (const machine of HARD) {
      const line = sheetCsv(PLACES, 'mm', [null, null], machine)
        .split('\n')
        .find((each) => each.startsWith('# Machine: '));
      expect(line).toMatch(/^# Machine: [^,;"\t]+$/);
    }
  });

  test('or does not, and then it goes with any', () => {
    const own = 'board,knife,x,y,thickness\nH1,1,40,40,\n';
    expect(isOfAnotherMachine(own, 'Bench thicknesser')).toBe(false);
    expect(isOfAnotherMachine(`# My boards of Friday\n${own}`, 'Bench thicknesser')).toBe(false);
  });
});

/** The demonstration's machine under another name. */
function machineCalled(folder: string, file: string, called: string): string {
  const toml = readFileSync(join(root, MACHINE), 'utf8');
  const text = toml.replace(/^name = .*$/m, () => `name = ${JSON.stringify(called)}`);
  return written(folder, { [file]: text })[0]!;
}

describe('enter', () => {
  test('refuses the sheet of another machine, and leaves it as it was', () => {
    const folder = temporaryFolder();
    const other = machineCalled(folder, 'other.toml', 'Another thicknesser');
    const out = join(folder, 'sheet.csv');
    expect(proofboard(['sheet', MACHINE, '--out', out]).code).toBe(0);
    const before = readFileSync(out, 'utf8');
    const run = proofboard(['enter', other, '--out', out], { input: '20.01\n' });
    expect(run).toMatchObject({ code: 2, stdout: '' });
    expect(run.stderr).toContain(`${out}: error: `);
    expect(run.stderr).toMatch(/another machine than Another thicknesser.*"# Machine:"/s);
    expect(readFileSync(out, 'utf8')).toBe(before);
    // What its words advise does help.
    writeFileSync(out, before.replace(/^# Machine: .*$/m, '# Machine: Another thicknesser'));
    expect(proofboard(['enter', other, '--out', out], { input: '20.01\n' }).code).toBe(3);
  });

  test.each(HARD)('goes on with the sheet of %s after a spreadsheet saved it', (called) => {
    const folder = temporaryFolder();
    const machine = machineCalled(folder, 'machine.toml', called);
    const other = machineCalled(folder, 'other.toml', `${called} II`);
    const csv = proofboard(['sheet', machine]).stdout;
    const [out] = written(folder, { 'saved.csv': saved(csv, ';') }) as [string];
    expect(proofboard(['enter', other, '--out', out], { input: '20.01\n' }).code).toBe(2);
    const run = proofboard(['enter', machine, '--out', out], { input: '20.01\n' });
    expect(run).toMatchObject({ code: 3, stderr: '' });
    expect(readFileSync(out, 'utf8')).toContain(';20,01;');
  });
});
