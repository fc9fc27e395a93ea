import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { machineSchema } from '../../src/machine/schema.js';
import { parseDocument } from '../../src/machine/toml.js';
import { answersOf } from '../../src/machine/write-answers.js';
import { corrected } from '../../src/machine/write-corrected.js';
import { plainFile } from '../../src/machine/write-file.js';
import { literalOf, typedOf } from '../../src/machine/write-forms.js';
import { howToWrite, valueName } from '../../src/machine/write-how.js';
import { GROUPS, QUESTIONS, questionOf } from '../../src/machine/write-questions.js';
import { salvaged } from '../../src/machine/write-salvage.js';
import { withUnit } from '../../src/machine/write-unit.js';
import { everydayUnits } from '../../src/units/unit-book.js';
import { readText } from './files.js';

interface Shape {
  readonly entries?: Readonly<Record<string, Shape>>;
  readonly wrapped?: Shape;
  readonly getter?: (input: unknown) => Shape;
}

/** Every key of the schema that is no table. */
function keysOf(shape: Shape, path = ''): string[] {
  if (shape.wrapped) return keysOf(shape.wrapped, path);
  if (shape.getter) return keysOf(shape.getter({}), path);
  if (!shape.entries) return [path];
  return Object.entries(shape.entries).flatMap(([key, inner]) =>
    keysOf(inner, path === '' ? key : `${path}.${key}`),
  );
}

describe('the table of questions', () => {
  test('asks for every key that a machine file may have, and for no other', () => {
    const schema = machineSchema('mm', everydayUnits) as unknown as Shape;
    expect(QUESTIONS.map(({ key }) => key).sort()).toEqual(keysOf(schema).sort());
  });

  test('has one option a question and uses every group', () => {
    expect(new Set(QUESTIONS.map(({ option }) => option)).size).toBe(QUESTIONS.length);
    const used = new Set(QUESTIONS.flatMap(({ group }) => (group === undefined ? [] : [group])));
    expect([...used].sort()).toEqual(GROUPS.map(({ name }) => name).sort());
  });

  test('keeps the keys of a table together, so that they stand in a file as they are asked', () => {
    const tables = QUESTIONS.map(({ key }) => (key.includes('.') ? key.split('.')[0] : ''));
    const runs = tables.filter((table, index) => table !== tables[index - 1]);
    expect(new Set(runs).size).toBe(runs.length);
  });

  test.each(['mm', 'in'] as const)('gives typical values that a file in %s takes', async (unit) => {
    for (const kind of ['screw', 'shim'] as const) {
      const own = QUESTIONS.filter(
        (question) =>
          (question.kind === undefined || question.kind === kind) &&
          // Beside the thread a pitch is one too many; three angles are not for four knives.
          !['adjusters.pitch', 'bed.pitch', 'block.angles'].includes(question.key),
      );
      const answers = new Map(
        own.map((question) => {
          const typed = { unit, 'adjusters.kind': kind as string }[question.key];
          const written = literalOf(question, typed ?? question.typical[unit]);
          return [question.key, 'literal' in written ? written.literal : written.problem];
        }),
      );
      expect((await readText(plainFile(answers))).notices).toEqual([]);
    }
  });

  test('says of every question how it is answered', () => {
    for (const question of QUESTIONS) {
      expect(howToWrite(question, 'in')).not.toBe('');
      expect(valueName(question)).toMatch(/^[\w|]+$/);
      expect(question.why).toMatch(/\.$/);
    }
  });

  test('stands in for the missing by values that make a machine', async () => {
    const standIns = (kind: string) =>
      QUESTIONS.filter((each) => each.standIn && (each.kind ?? kind) === kind).map(
        ({ key, standIn }) => [key, standIn!] as const,
      );
    const screws = new Map(standIns('screw'));
    expect((await readText(plainFile(screws))).notices).toEqual([]);
    const shims = new Map([...standIns('shim'), ['adjusters.kind', '"shim"']]);
    expect((await readText(plainFile(shims))).notices).toEqual([]);
  });
});

describe('what is typed becomes', () => {
  test.each([
    ['block.knives', '1 2 3 4', '["1", "2", "3", "4"]'],
    ['block.knives', '4', '["1", "2", "3", "4"]'],
    ['block.knives', '"4"', '["4"]'],
    ['block.knives', '007', '["007"]'],
    ['block.knives', 'A, front knife; C', '["A, front knife", "C"]'],
    ['block.knives', 'A, front knife', '["A", "front knife"]'],
    ['block.knives', 'red and blue', '["red", "blue"]'],
    ['block.knives', 'A1 x2', '["A1", "x2"]'],
    ['block.knives', '["a", "b,c"]', '["a", "b,c"]'],
    ['block.cutting_diameter', '120', '120'],
    ['block.cutting_diameter', '120.50', '120.50'],
    ['block.cutting_diameter', '62,5', '62.5'],
    ['block.cutting_diameter', '3 3/4 in', '"3 3/4 in"'],
    ['block.cutting_diameter', '3 3/4"', '"3 3/4\\""'],
    ['block.cutting_diameter', '"3 3/4 in"', '"3 3/4 in"'],
    ['block.cutting_diameter', '62,5 mm', '"62.5 mm"'],
    ['block.cutting_diameter', '.5', '0.5'],
    ['block.cutting_diameter', '0120', '120'],
    ['block.length', '1 250', '1250'],
    ['block.length', '1 250 mm', '"1250 mm"'],
    ['block.length', '+520', '520'],
    ['block.length', '\u2212520', '-520'],
    ['block.length', 'M6', '"M6"'],
    ['block.speed', '4500', '"4500 rpm"'],
    ['block.speed', '75 rev/s', '"75 rev/s"'],
    ['feed.speed', '9,5 m/min', '"9.5 m/min"'],
    ['feed.speed', '30 ft/min', '"30 ft/min"'],
    ['adjusters.at', '40,480', '[40, 480]'],
    ['adjusters.at', '40 480', '[40, 480]'],
    ['adjusters.at', '40 and 480', '[40, 480]'],
    ['adjusters.at', '40,5; 480', '[40.5, 480]'],
    ['adjusters.at', '3/8", 5 7/8 in', '["3/8\\"", "5 7/8 in"]'],
    ['adjusters.at', '[40, 480]', '[40, 480]'],
    ['adjusters.thread', '1/4-28', '"1/4-28"'],
    ['adjusters.thread', '"M6"', '"M6"'],
    ['adjusters.raised_by', 'ccw', '"anticlockwise"'],
    ['adjusters.raised_by', 'Clock', '"clockwise"'],
    ['adjusters.finest_turn', '1/16', '"1/16"'],
    ['adjusters.finest_turn', '0.0625', '0.0625'],
    [
      'adjusters.stock',
      '0.02, 0.05 x 6, 0.1 mm x2',
      '[0.02, { thickness = 0.05, count = 6 }, { thickness = "0.1 mm", count = 2 }]',
    ],
    ['block.angles', '0°, 118, 240 deg', '[0, 118, 240]'],
    ['bed.repeatability', 'Unknown', '"unknown"'],
    ['bed.repeatability', '0,005', '0.005'],
    ['set.fitted', '2026-11-20', '2026-11-20'],
    ['set.fitted', '2026-02-30', '"2026-02-30"'],
    ['set.fitted', 'last week', '"last week"'],
    ['set.note', ' say "no" \\ ', '"say \\"no\\" \\\\"'],
    ['outfeed.present', 'Y', 'true'],
    ['outfeed.present', 'no', 'false'],
    ['unit', 'inches', '"in"'],
  ])('%s: %s', (key, typed, literal) => {
    expect(literalOf(questionOf(key), typed)).toEqual({ literal });
  });

  test.each([
    ['block.length', '1,250', /two ways/],
    ['block.speed', '4,500 rpm', /two ways/],
    ['adjusters.at', '40,5, 480,5', /two ways/],
    ['adjusters.kind', 's', /screw or shim/],
    ['adjusters.raised_by', 'up', /clockwise or anticlockwise/],
    ['outfeed.present', 'perhaps', /./],
    ['block.knives', '1234', /count/],
  ])('nothing where it can be meant in two ways: %s: %s', (key, typed, problem) => {
    const written = literalOf(questionOf(key), typed);
    expect('problem' in written && written.problem).toMatch(problem);
    expect('expected' in written && written.expected).toBeTruthy();
  });

  test('and back, what a file holds as it would be typed', async () => {
    for (const name of ['thicknesser', 'inch-jointer', 'outfeed-planer', 'shims']) {
      const text = readFileSync(`fixtures/machines/${name}.toml`, 'utf8');
      const parsed = parseDocument(text);
      if (!('document' in parsed)) throw new Error(name);
      const answers = answersOf(parsed.document);
      const again = new Map(
        [...answers].map(([key, literal]) => {
          const question = questionOf(key);
          const written = literalOf(question, typedOf(question, literal));
          return [key, 'literal' in written ? written.literal : 'nothing'];
        }),
      );
      const { machine } = await readText(plainFile(again));
      expect(machine).toEqual((await readText(text)).machine);
    }
  });
});

test('a length without a unit can be given the one it was meant in', () => {
  expect(withUnit('length', '120', 'mm')).toBe('"120 mm"');
  expect(withUnit('length', '"3 3/4"', 'in')).toBe('"3 3/4 in"');
  expect(withUnit('length', '"3 3/4 in"', 'mm')).toBe('"3 3/4 in"');
  expect(withUnit('lengths', '[40, "19 in"]', 'mm')).toBe('["40 mm", "19 in"]');
  expect(withUnit('contact', '"flat 3"', 'mm')).toBe('"flat 3 mm"');
  expect(withUnit('contact', '"point"', 'mm')).toBe('"point"');
  expect(withUnit('repeatability', '"unknown"', 'mm')).toBe('"unknown"');
  expect(withUnit('stock', '[{ thickness = 0.05, count = 6 }]', 'mm')).toBe(
    '[{ thickness = "0.05 mm", count = 6 }]',
  );
  expect(withUnit('turns', '0.0625', 'mm')).toBe('0.0625');
});

describe('a file is corrected in place', () => {
  const answersIn = (text: string) => {
    const parsed = parseDocument(text);
    if (!('document' in parsed)) throw new Error(`no TOML: ${parsed.problem}`);
    return answersOf(parsed.document);
  };
  const correct = (text: string, changes: Readonly<Record<string, string | null>>) => {
    const before = answersIn(text);
    const after = new Map(before);
    for (const [key, literal] of Object.entries(changes)) {
      if (literal === null) after.delete(key);
      else after.set(key, literal);
    }
    return corrected(text, before, after);
  };
  const FILE = [
    '# ours since 1987',
    'name = "x" # as painted on it',
    '',
    '[block] # by the maker',
    'knives = [',
    '  "1", # chalked',
    '  "2",',
    ']',
    'projection = { knife = "1", x = 40, value = 0.9 } # measured',
    'length = 520',
    '',
    '[adjusters]',
    '# the thread is worn',
    'thread = "M6" # fine',
    'at = [40, 480]',
  ].join('\n');

  test('a value changes where it stands', () => {
    expect(correct(FILE, { name: '"y"', 'block.projection.x': '50' })).toBe(
      FILE.replace('"x"', '"y"').replace('x = 40', 'x = 50'),
    );
  });

  test('a new key stands at the end of its table, a new table at the end of the file', () => {
    const text = correct(FILE, { 'block.speed': '"4500 rpm"', 'feed.speed': '"9 m/min"' });
    expect(text).toBe(
      `${FILE.replace('length = 520\n', 'length = 520\nspeed = "4500 rpm"\n')}\n\n[feed]\nspeed = "9 m/min"\n`,
    );
  });

  test('what is taken out stays as a comment', () => {
    expect(correct(FILE, { 'adjusters.thread': null, 'block.knives': null })).toBe(
      FILE.replace('thread = "M6"', '# thread = "M6"')
        .replace('knives = [', '# knives = [')
        .replace('  "1", # chalked', '#   "1", # chalked')
        .replace('  "2",\n]', '#   "2",\n# ]'),
    );
  });

  test('a table within a table goes and comes whole', () => {
    const leaves = {
      'block.projection.knife': null,
      'block.projection.x': null,
      'block.projection.value': null,
    };
    const without = correct(FILE, leaves);
    expect(without).toBe(FILE.replace('projection =', '# projection ='));
    const again = correct(without!, {
      'block.projection.knife': '"2"',
      'block.projection.x': '10',
      'block.projection.value': '1',
    });
    expect(again).toContain('length = 520\nprojection = { knife = "2", x = 10, value = 1 }\n');
    expect(correct(FILE, { 'block.projection.value': null })).toContain('{ knife = "1", x = 40 }');
  });

  test('of a table that is emptied nothing but comments are left', () => {
    const text = correct(`${FILE}\n\n[set]\nname = "A" # new\n`, { 'set.name': null });
    expect(text).toBe(`${FILE}\n\n# [set]\n# name = "A" # new\n`);
  });

  test.each([
    [
      'inline',
      'name = "x"\nblock = { length = 520 }\nadjusters = {}\n',
      'block = { length = 520, speed = "1 rpm" }\nadjusters = { at = [1, 2] }',
    ],
    [
      'dotted',
      'name = "x"\nblock.length = 520\nadjusters . kind = "screw"\n',
      'block.length = 520\nblock.speed = "1 rpm"\nadjusters . kind = "screw"\nadjusters.at = [1, 2]',
    ],
    [
      'lists of tables',
      'name = "x"\n[[adjusters.stock]]\nthickness = 1\n',
      '[[adjusters.stock]]\nthickness = 1\n\n[block]\nspeed = "1 rpm"\n\n[adjusters]\nat = [1, 2]',
    ],
    [
      'CRLF',
      'name = "x"\r\n[block]\r\nlength = 520\r\n[adjusters]\r\n',
      '[block]\r\nlength = 520\r\nspeed = "1 rpm"\r\n[adjusters]\r\nat = [1, 2]\r\n',
    ],
  ])('however it is laid out: %s', (_, text, expected) => {
    const made = correct(text, { 'block.speed': '"1 rpm"', 'adjusters.at': '[1, 2]' });
    expect(made).toContain(expected);
  });

  test('or not at all, where it has no place for a key', () => {
    expect(correct('name = "x"\nblock = 5\n', { 'block.length': '520' })).toBeNull();
    expect(correct('name = "x"\n[[block]]\n', { 'block.length': '520' })).toBeNull();
  });
});

describe('lines that are no TOML', () => {
  test('become comments, and their keys are known', () => {
    const text =
      'name = Old one\n[block]\nlength = 5,2\nspeed = 4500 rpm # fast\nmax_speed = "1 rpm"\n';
    const found = salvaged(text);
    expect(found?.damaged.map(({ key, place }) => [key, place.line])).toEqual([
      ['name', 1],
      ['block.length', 3],
      ['block.speed', 4],
    ]);
    expect(found?.text).toBe(text.replace(/^(name|length|speed)/gm, '# $1'));
  });

  test.each([
    '[block\nlength = 520\n',
    'name = "x\n\n[block]\n"',
    'hello\n',
    'colour = red\n',
    'a,b\n1,2\n',
  ])('are left to their owner where more is wrong: %j', (text) => {
    expect(salvaged(text)).toBeNull();
  });
});
