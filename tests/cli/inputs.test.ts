import { cpSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import {
  BOARDS,
  jsonOf,
  MACHINE,
  proofboard,
  root,
  STRIPS,
  temporaryFolder,
  written,
} from './program.js';

const boards = readFileSync(join(root, BOARDS));
const machine = readFileSync(join(root, MACHINE), 'utf8');

interface Told {
  readonly code: string;
  readonly severity: string;
  readonly file?: string;
  readonly line?: number;
  readonly message: string;
  readonly hint?: string;
}

/** The errors of a command's JSON; the same stand on standard error. */
function errorsOf(args: readonly string[], input?: string | Uint8Array): Told[] {
  const run = proofboard([...args, '--json'], input === undefined ? {} : { input });
  expect(run.code).toBe(2);
  const errors: Told[] = jsonOf(run).notices.filter((each: Told) => each.severity === 'error');
  expect(errors.length).toBeGreaterThan(0);
  for (const { message, hint } of errors) {
    expect(run.stderr).toContain(message);
    expect(hint ?? '').not.toBe('');
  }
  return errors;
}

describe('standard input', () => {
  test('gives what the file gives', () => {
    const piped = jsonOf(proofboard(['analyse', MACHINE, '-', '--json'], { input: boards }));
    const named = jsonOf(proofboard(['analyse', MACHINE, BOARDS, '--json']));
    expect(piped.knives).toEqual(named.knives);
    expect(piped.bed).toEqual(named.bed);
    expect(piped.files).toEqual([{ ...named.files[0], name: '-' }]);
    expect(piped.fitted[0].file).toBe('-');
  });

  test('stands beside files', () => {
    const run = proofboard(['read', MACHINE, STRIPS, '-', '--json'], { input: boards });
    expect(jsonOf(run).readings).toHaveLength(108);
  });

  test('may hold nothing, and then is told by its name', () => {
    const [error] = errorsOf(['analyse', MACHINE, '-'], '');
    expect(error).toMatchObject({ file: '-', line: 1 });
  });

  test('is not read twice', () => {
    expect(errorsOf(['analyse', MACHINE, '-', '-'], boards)[0]!.message).toContain('twice');
  });
});

describe('what is no file of readings', () => {
  test.each([
    { name: 'nothing.csv', says: 'no such file' },
    { name: 'fixtures/boards', says: 'folder' },
    { name: `${MACHINE}/boards.csv`, says: 'not a folder' },
  ])('$name: $says', ({ name, says }) => {
    expect(errorsOf(['analyse', MACHINE, name])).toEqual([
      expect.objectContaining({ file: name, message: expect.stringContaining(says) }),
    ]);
    expect(errorsOf(['read', name])).toEqual([
      expect.objectContaining({ file: name, message: expect.stringContaining(says) }),
    ]);
  });

  test('every file that is missing is named at once', () => {
    const names = errorsOf(['analyse', 'a.toml', 'b.csv', 'c.csv']).map(({ file }) => file);
    expect(names).toEqual(['a.toml', 'b.csv', 'c.csv']);
  });

  test.each(['fixtures/broken/workbook.csv', 'fixtures/broken/old-workbook.xls'])(
    'a workbook, %s, is refused with what to do',
    (name) => {
      const [error, ...more] = errorsOf(['analyse', MACHINE, name]);
      expect(more).toEqual([]);
      expect(`${error!.message} ${error!.hint}`).toMatch(/workbook.*save.*as CSV/);
    },
  );

  test('a workbook by its proper name, also in place of the machine file', () => {
    const workbook = readFileSync(join(root, 'fixtures/broken/workbook.csv'));
    const [xlsx] = written(temporaryFolder(), { 'boards.xlsx': workbook });
    expect(errorsOf(['analyse', MACHINE, xlsx!])[0]!.hint).toContain('CSV');
    expect(errorsOf(['read', xlsx!])[0]!.file).toBe(xlsx);
  });

  test('a result, and a machine file, given as readings', () => {
    const [json] = written(temporaryFolder(), {
      'r.json': proofboard(['analyse', MACHINE, BOARDS, '--json']).stdout,
    });
    errorsOf(['analyse', MACHINE, json!]);
    const [copy] = written(temporaryFolder(), { 'machine.toml': machine });
    errorsOf(['analyse', MACHINE, copy!]);
  });

  test('readings given where the machine file belongs', () => {
    const [error] = errorsOf(['analyse', BOARDS, MACHINE]);
    expect(error!.hint).toMatch(/machine file first/i);
  });
});

describe('the same file twice', () => {
  test.each([BOARDS, `./${BOARDS}`, join(root, BOARDS)])('as %s', (again) => {
    const errors = errorsOf(['analyse', MACHINE, BOARDS, again]);
    expect(errors).toHaveLength(1);
    expect(errors[0]).toMatchObject({ code: 'given-twice', file: again });
  });

  test('a copy under another name is warned of, but not once a row', () => {
    const folder = temporaryFolder();
    cpSync(join(root, BOARDS), join(folder, 'copy.csv'));
    const run = proofboard(['read', MACHINE, BOARDS, join(folder, 'copy.csv')]);
    expect(run.stderr).toMatch(/warning/);
    expect(run.stderr.split('\n').length).toBeLessThanOrEqual(25);
  });
});

describe('errors in one go', () => {
  test('of all files of readings', () => {
    const files = ['fixtures/broken/dates.csv', 'fixtures/broken/unknown-knife.csv'];
    const told = errorsOf(['analyse', MACHINE, ...files]);
    expect([...new Set(told.map(({ file }) => file))]).toEqual(files);
    for (const { line } of told) expect(line).toBeGreaterThan(0);
  });

  test('of a file at most 20, and then how many more', () => {
    const rows = Array.from({ length: 50 }, (_, i) => `H1,1,40,${i},thick`);
    const [file] = written(temporaryFolder(), {
      'many.csv': `board,knife,x,y,thickness\n${rows.join('\n')}\n`,
    });
    const told = errorsOf(['analyse', MACHINE, file!]);
    expect(told.length).toBeLessThanOrEqual(21);
    expect(told.at(-1)!.message).toMatch(/\b30\b/);
  });

  test('of a machine file, each with its line', () => {
    const told = errorsOf(['read', 'fixtures/machines/broken/many-faults.toml']);
    expect(told.length).toBeGreaterThan(5);
    for (const { line } of told) expect(line).toBeGreaterThan(0);
  });

  test('an unknown key is refused with the nearest known one', () => {
    const [file] = written(temporaryFolder(), {
      'machine.toml': machine.replace('finest_turn', 'finest_trun'),
    });
    const told = errorsOf(['read', file!]);
    expect(told.map(({ message, hint }) => `${message} ${hint}`).join()).toMatch(
      /finest_trun.*finest_turn/,
    );
  });
});

test('a speed above the figure on the block is warned of in every output', () => {
  const [file] = written(temporaryFolder(), {
    'machine.toml': machine.replace(
      'speed = "4500 rpm"',
      'speed = "4500 rpm"\nmax_speed = "4000 rpm"',
    ),
  });
  for (const line of [
    ['read', file!],
    ['read', file!, BOARDS],
    ['analyse', file!, BOARDS],
    ['confirm', file!, BOARDS],
  ]) {
    const run = proofboard([...line, '--json']);
    const warned = jsonOf(run).notices.filter(
      (each: Told) => each.severity === 'warning' && /4000/.test(each.message),
    );
    expect(warned).toHaveLength(1);
    expect(run.stderr).toContain(warned[0].message);
  }
  expect(proofboard(['analyse', file!, BOARDS]).stdout).toMatch(/4000/);
});
