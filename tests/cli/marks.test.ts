import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { marksFaults } from './marks-contract.js';
import {
  BOARDS,
  jsonOf,
  MACHINE,
  proofboard,
  root,
  STRIPS,
  shell,
  spoken,
  temporaryFolder,
  written,
} from './program.js';

const THICKNESSER = 'fixtures/machines/thicknesser.toml';
const INCHES = 'fixtures/machines/inch-jointer.toml';
const UNEVEN = 'fixtures/machines/outfeed-planer.toml';
const WITHOUT_FEED = 'fixtures/machines/shims.toml';

/** Results of the demonstration shop, under names as a user would give them. */
let folder: string;
let first: string;
let strips: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'proofboard-marks-'));
  [first, strips] = [join(folder, 'first.json'), join(folder, 'strips.json')];
  proofboard(['analyse', MACHINE, BOARDS, '--out', first]);
  proofboard(['analyse', MACHINE, STRIPS, '--out', strips]);
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

type Offsets = readonly (readonly [number | null, number | null])[];

/** A result of the thicknesser with the promised keys that marks are foretold from and no others. */
function resultWith(offsets: Offsets, xs: readonly number[]): string {
  const ids = offsets.map((_, k) => `${k + 1}`);
  const end = (name: string, x: number, offset: number | null) => {
    const [u, U] = offset === null ? [null, null] : [0.003, 0.006];
    return { name, x, offset, u, U, probabilityInside: null, verdict: 'undecided' };
  };
  const result = {
    schema: 'proofboard/result@1',
    machine: { name: 'Bench thicknesser', knives: ids },
    fitted: xs.map((x) => ({ x })),
    knives: offsets.map(([front, back], k) => ({
      id: ids[k],
      ends: [end('front', 40, front), end('back', 480, back)],
    })),
    moves: [],
  };
  return written(temporaryFolder(), { 'result.json': JSON.stringify(result) })[0]!;
}

/** Cases of `marks`, their command line as one text for the titles. */
function spokenMarks(cases: readonly { readonly line: string[]; readonly says: string[] }[]) {
  return spoken(cases.map(({ line, says }) => ({ line: ['marks', ...line], says })));
}

/** Knife 1 leads by far and everywhere. */
const LEADING: Offsets = [
  [0.06, 0.06],
  [-0.02, -0.02],
  [-0.02, -0.02],
  [-0.02, -0.02],
];

/** Every number to four decimals. */
function rounded(json: unknown): Record<string, unknown> {
  const text = JSON.stringify(json, (_, value: unknown) =>
    typeof value === 'number' ? Number(value.toFixed(4)) : value,
  );
  return JSON.parse(text);
}

describe('what equal knives would leave', () => {
  test('one station without a place, every knife showing', () => {
    const run = proofboard(['marks', THICKNESSER, '--json']);
    const report = jsonOf(run);
    expect(run).toMatchObject({ code: 0, stderr: '' });
    expect(marksFaults(report)).toEqual([]);
    expect(report.reading).toBeNull();
    expect(report.stations).toHaveLength(1);
    expect(rounded(report.stations[0])).toMatchObject({
      x: null,
      pitch: 0.5,
      perRevolution: 2,
      marks: 4,
      marksPerInch: 50.8,
      finishing: ['1', '2', '3', '4'],
      hiddenBelow: 0.0021,
      oneKnifeBelow: 0.0082,
      // p²/(8(R + P/π)) = 0.25/485.09
      ridgeHeight: 0.0005,
      knives: ['1', '2', '3', '4'].map((id) => ({
        id,
        shows: true,
        offset: 0,
        u: null,
        U: null,
        atMost: null,
      })),
    });
  });

  test('unevenly spaced: the pitch stays the feed a knife, the marks are as wide as the gaps', () => {
    const report = jsonOf(proofboard(['marks', UNEVEN, '--json']));
    expect(marksFaults(report)).toEqual([]);
    const [station] = report.stations;
    // 9 m/min and 5000 rpm: 1.8 mm a revolution, of which 118°, 122° and 120°; a mark reaches from
    // the middle of the gap before its knife to the middle of the one behind.
    expect(station.pitch).toBeCloseTo(0.6, 12);
    const widths = [(120 + 118) / 2, (118 + 122) / 2, (122 + 120) / 2];
    station.inOrder.forEach(({ width }: { width: number }, mark: number) => {
      expect(width).toBeCloseTo((1.8 * widths[mark]!) / 360, 12);
    });
  });

  test('a single knife has no bounds, and a notice says why', () => {
    const [machine] = written(temporaryFolder(), {
      'one.toml': readFileSync(join(root, MACHINE), 'utf8').replace(
        /^knives = .*$/m,
        'knives = ["1"]',
      ),
    });
    const report = jsonOf(proofboard(['marks', machine!, '--all-show', '--json']));
    expect(marksFaults(report)).toEqual([]);
    expect(report.stations[0]).toMatchObject({ hiddenBelow: null, oneKnifeBelow: null, marks: 1 });
    expect(report.notices.map(({ code }: { code: string }) => code)).toEqual([
      'single-knife',
      'equal-knives-show',
    ]);
    expect(proofboard(['marks', machine!]).stdout).toMatch(
      /^A one-knife finish: 12\.7 marks an inch, ridges 8\.2 µm\.$/m,
    );
  });
});

describe('what the knives of a result leave', () => {
  test('four knives, 120 mm, 4500 rpm, 9 m/min, knife 1 leading', () => {
    const result = resultWith(LEADING, [205]);
    const run = proofboard(['marks', THICKNESSER, '--result', result, '--json']);
    const { schema, stations, notices, ...rest } = jsonOf(run);
    expect(run.code).toBe(0);
    expect(marksFaults(jsonOf(run))).toEqual([]);
    expect({ schema, notices }).toEqual({ schema: 'proofboard/marks@1', notices: [] });
    expect(Object.keys(rest)).toEqual(['feeds', 'wanted', 'reading']);
    const [station] = stations.map(rounded);
    expect(station).toMatchObject({
      x: 205,
      pitch: 0.5,
      perRevolution: 2,
      marksPerInch: 12.7,
      ridgeHeight: 0.0082,
      finishing: ['1'],
      hiddenBelow: 0.0021,
      oneKnifeBelow: 0.0082,
      ambiguous: false,
    });
    expect(station.knives.slice(0, 2)).toEqual([
      { id: '1', shows: true, offset: 0, u: null, U: null, atMost: null },
      { id: '2', shows: false, offset: null, u: null, U: null, atMost: -0.0062 },
    ]);
  });

  test('a station for each place at which readings were fitted, near ones taken together', () => {
    const at = (...xs: number[]) =>
      jsonOf(
        proofboard(['marks', THICKNESSER, '--result', resultWith(LEADING, xs), '--json']),
      ).stations.map(({ x }: { x: number }) => x);
    expect(at(480, 40, 262, 260, 40)).toEqual([40, 261, 480]);
    expect(at()).toEqual([40, 480]);
  });

  test('which may be a guess, and says so', () => {
    const run = proofboard(['marks', MACHINE, '--result', first, '--json']);
    const report = jsonOf(run);
    expect(run.code).toBe(0);
    expect(marksFaults(report)).toEqual([]);
    expect(report.stations.map(({ x }: { x: number }) => x)).toEqual([40, 150, 260, 370, 480]);
    expect(report.stations[4].finishing).toEqual(['1', '2']);
    expect(run.stderr).toMatch(/whether knives 1, 2 and 4 leave marks is a guess/);
    const text = proofboard(['marks', MACHINE, '--result', first]).stdout;
    expect(text).toMatch(/^Likely a one- to two-knife finish: 12\.7 to 25\.4 marks an inch/);
  });

  test('which is not known where a knife is not: exit 3, and what would tell', () => {
    const partly: Offsets = [...LEADING.slice(0, 3), [null, null]];
    const result = resultWith(partly, [40, 480]);
    const run = proofboard(['marks', THICKNESSER, '--result', result, '--all-show', '--json']);
    const report = jsonOf(run);
    expect(run.code).toBe(3);
    expect(marksFaults(report)).toEqual([]);
    for (const station of report.stations) {
      expect(station).toMatchObject({
        finishing: [],
        marks: null,
        marksPerInch: null,
        ridgeHeight: null,
      });
      // Knives 2 and 3 are hidden by knife 1, whatever knife 4 does.
      expect(station.knives.map(({ shows }: { shows: boolean | null }) => shows)).toEqual([
        null,
        false,
        false,
        null,
      ]);
      expect(station.knives[3]).toMatchObject({ offset: null, u: null, U: null, atMost: null });
    }
    expect(report.wanted[0]).toMatchObject({ wish: 'all-show', feed: null });
    expect(run.stderr).toMatch(/how high knife 4 stands at x 40 mm and 480 mm.*read the ridges/);
  });

  test('full boards alone tell no knife', () => {
    const run = proofboard(['marks', MACHINE, '--result', strips, '--json']);
    expect(run.code).toBe(3);
    expect(marksFaults(jsonOf(run))).toEqual([]);
  });
});

describe('what is wished of the feed', () => {
  test('is answered in the order of the report, and keeps its promise', () => {
    const line = ['marks', MACHINE, '--result', first, '--json'];
    const run = proofboard([...line, '--pitch', '1 mm', '--ridge', '8 um', '--all-show']);
    const { wanted } = jsonOf(run);
    expect(marksFaults(jsonOf(run))).toEqual([]);
    expect(wanted.map(({ wish, value }: { wish: string; value: number }) => [wish, value])).toEqual(
      [
        ['pitch', 1],
        ['ridge-height', 0.008],
        ['all-show', null],
      ],
    );
    // 1 mm a knife, 4 knives, 4500 rpm.
    expect(wanted[0].feed).toBeCloseTo(18_000, 6);
    const [ridge, all] = [wanted[1].feed, wanted[2].feed].map((feed) =>
      jsonOf(proofboard([...line, '--feed', `${feed.toPrecision(12)} mm/min`])),
    );
    const roughest = Math.max(
      ...ridge.stations.map(({ ridgeHeight }: { ridgeHeight: number }) => ridgeHeight),
    );
    expect(roughest).toBeCloseTo(0.008, 9);
    expect(all.stations.map(({ marks }: { marks: number }) => marks)).toEqual([4, 4, 4, 4, 4]);
    const less = `${(0.999 * wanted[2].feed).toPrecision(12)} mm/min`;
    const { stations } = jsonOf(proofboard([...line, '--feed', less]));
    expect(Math.min(...stations.map(({ marks }: { marks: number }) => marks))).toBeLessThan(4);
    expect(run.stderr).toMatch(
      /68\.1 m\/min is far from .* manual decides .* loads each knife more/,
    );
  });

  test('a number alone is in the unit of the machine file', () => {
    const { wanted } = jsonOf(
      proofboard(['marks', INCHES, '--pitch', '1/16', '--ridge', '0.0005', '--json']),
    );
    expect(wanted[0].value).toBeCloseTo(25.4 / 16, 12);
    expect(wanted[1].value).toBeCloseTo(0.0127, 12);
    expect(
      jsonOf(proofboard(['marks', MACHINE, '--pitch', '0.5', '--json'])).wanted[0],
    ).toMatchObject({ value: 0.5, feed: 9000 });
  });

  test.each([
    { pitch: '1/16 in', mm: 25.4 / 16 },
    { pitch: '60 thou', mm: 1.524 },
    { pitch: '0.1 dm', mm: 10 },
  ])('lengths are written as in machine files: $pitch', ({ pitch, mm }) => {
    const { wanted } = jsonOf(proofboard(['marks', MACHINE, '--pitch', pitch, '--json']));
    expect(wanted[0].value).toBeCloseTo(mm, 12);
  });

  test.each([
    { speed: '30 ft/min', feed: 9144 },
    { speed: '10 yd/min', feed: 9144 },
  ])('a speed as well: $speed', ({ speed, feed }) => {
    const report = jsonOf(proofboard(['marks', MACHINE, '--feed', speed, '--json']));
    expect(marksFaults(report)).toEqual([]);
    expect(report.stations[0].perRevolution).toBeCloseTo(feed / 4500, 9);
    const rows = report.feeds.filter((row: { feed: number }) => Math.abs(row.feed - feed) < 1e-6);
    expect(rows).toHaveLength(1);
    expect(rows[0].isOwn).toBe(false);
    expect(report.feeds.find(({ isOwn }: { isOwn: boolean }) => isOwn).feed).toBe(9000);
  });

  test('what no feed does is null, with a word on it', () => {
    const run = proofboard(['marks', THICKNESSER, '--ridge', '8', '--pitch', '40 mm', '--json']);
    expect(run.code).toBe(0);
    expect(marksFaults(jsonOf(run))).toEqual([]);
    for (const each of jsonOf(run).wanted) {
      expect(each).toMatchObject({ feed: null, pitch: null, ridgeHeight: null });
    }
    expect(run.stderr).toMatch(
      /ridges that high \(found 8000 µm, expected at most 356 µm\).*"8 um"/,
    );
    expect(run.stderr).toMatch(/that pitch/);
    const apart: Offsets = [
      [9, 9],
      [-3, -3],
      [-3, -3],
      [-3, -3],
    ];
    const far = proofboard([
      ...['marks', THICKNESSER, '--result', resultWith(apart, [40])],
      ...['--all-show', '--json'],
    ]);
    expect(jsonOf(far).wanted[0].feed).toBeNull();
    expect(far.stderr).toMatch(/at no feed .* do all of these knives leave marks/);
  });
});

describe('bad input: exit 2, and every fault named with what was expected', () => {
  test.each(
    spokenMarks([
      { line: [WITHOUT_FEED], says: [WITHOUT_FEED, '[feed]', '[block]', '--feed'] },
      { line: [WITHOUT_FEED, '--feed', '9 m/min'], says: ['no block speed', '[block]'] },
      {
        line: [MACHINE, '--pitch', '1,5'],
        says: ['--pitch is not a length', 'found 1,5', '"1.5 mm"'],
      },
      { line: [MACHINE, '--pitch', ''], says: ['--pitch is not a length', 'found nothing'] },
      { line: [MACHINE, '--pitch', '-1'], says: ['--pitch is not above zero', 'found -1'] },
      { line: [MACHINE, '--ridge', '0'], says: ['--ridge is not above zero'] },
      {
        line: [MACHINE, '--ridge', '8 furrows'],
        says: ['"furrows"', 'no unit of length', '"8 um"'],
      },
      { line: [MACHINE, '--feed', '9'], says: ['--feed has no unit', '"30 ft/min"'] },
      { line: [MACHINE, '--feed', '9 m'], says: ['"m"', 'no unit of feed speed'] },
      { line: [MACHINE, '--result', 'nothing.json'], says: ['nothing.json', 'no such file'] },
      { line: [MACHINE, '--result', BOARDS], says: [BOARDS, 'not a JSON file'] },
      { line: ['nothing.toml'], says: ['nothing.toml', 'no such file'] },
      { line: ['fixtures/machines/broken/twice.toml'], says: ['twice.toml:'] },
    ]),
  )('$command', ({ line, says }) => {
    const run = proofboard([...line, '--json']);
    expect(run.code).toBe(2);
    const { schema, notices, ...rest } = jsonOf(run);
    expect(schema).toBe('proofboard/marks@1');
    expect(rest).toEqual({});
    expect(notices.some(({ severity }: { severity: string }) => severity === 'error')).toBe(true);
    for (const words of says) expect(run.stderr).toContain(words);
    expect(proofboard(line).stdout).toBe('');
  });

  test('a machine file without feed needs none where --feed stands in', () => {
    const text = readFileSync(join(root, MACHINE), 'utf8').replace(/\[feed\]\nspeed = .*\n/, '');
    const [machine] = written(temporaryFolder(), { 'machine.toml': text });
    expect(proofboard(['marks', machine!]).code).toBe(2);
    const run = proofboard(['marks', machine!, '--feed', '9 m/min', '--json']);
    expect(run.code).toBe(0);
    expect(marksFaults(jsonOf(run))).toEqual([]);
    expect(jsonOf(run).feeds.some(({ isOwn }: { isOwn: boolean }) => isOwn)).toBe(false);
  });

  test.each([
    {
      other: 'name',
      change: (text: string) => text.replace(/^name = .*$/m, 'name = "Another"'),
      says: 'Demonstration thicknesser (invented), not Another',
    },
    {
      other: 'knives',
      change: (text: string) => text.replace('["1", "2", "3", "4"]', '["1", "2", "3"]'),
      says: 'its knives are 1, 2, 3, 4, not 1, 2, 3',
    },
    {
      other: 'adjusters',
      change: (text: string) => text.replace('at = [40, 480]', 'at = [40, 470]'),
      says: 'its outer adjusters are at x 40.000, 480.000, not 40.000, 470.000',
    },
  ])('a result of another machine is refused: other $other', ({ change, says }) => {
    const [machine] = written(temporaryFolder(), {
      'machine.toml': change(readFileSync(join(root, MACHINE), 'utf8')),
    });
    const run = proofboard(['marks', machine!, '--result', first, '--json']);
    expect(run.code).toBe(2);
    expect(run.stderr).toContain(`this result is of another machine: ${says}`);
  });

  test('a result with a broken part is refused, not stumbled over', () => {
    const result = JSON.parse(readFileSync(first, 'utf8'));
    const files = written(temporaryFolder(), {
      'fitted.json': JSON.stringify({ ...result, fitted: [{ x: '40' }] }),
      'middle.json': JSON.stringify({
        ...result,
        knives: result.knives.map((knife: object) => ({ ...knife, middle: { value: 'high' } })),
      }),
    });
    for (const file of files) {
      const run = proofboard(['marks', MACHINE, '--result', file, '--json']);
      expect(run.code).toBe(2);
      expect(run.stderr).toMatch(
        /not a result of proofboard: (fitted\.0\.x|knives\.0\.middle\.value) is/,
      );
    }
  });
});

describe('what it writes', () => {
  test('--out writes what --json prints, also where something is not known', () => {
    for (const [result, code] of [
      [first, 0],
      [strips, 3],
    ] as const) {
      const out = join(temporaryFolder(), 'marks.json');
      const run = proofboard(['marks', MACHINE, '--result', result, '--out', out]);
      expect(run.code).toBe(code);
      expect(run.stdout).toContain('Cautions');
      const { stdout } = proofboard(['marks', MACHINE, '--result', result, '--json']);
      expect(readFileSync(out, 'utf8')).toBe(stdout);
    }
  });

  test('it overwrites nothing without --force, and writes nothing at exit 2', () => {
    const place = temporaryFolder();
    const out = join(place, 'marks.json');
    writeFileSync(out, 'of somebody else');
    const refused = proofboard(['marks', MACHINE, '--out', out, '--json']);
    expect(refused.code).toBe(2);
    expect(refused.stderr).toContain('--force');
    expect(Object.keys(jsonOf(refused))).toEqual(['schema', 'notices']);
    expect(readFileSync(out, 'utf8')).toBe('of somebody else');
    expect(proofboard(['marks', MACHINE, '--out', out, '--force']).code).toBe(0);
    expect(marksFaults(JSON.parse(readFileSync(out, 'utf8')))).toEqual([]);
    const other = join(place, 'other.json');
    expect(proofboard(['marks', WITHOUT_FEED, '--out', other]).code).toBe(2);
    expect(existsSync(other)).toBe(false);
    expect(readdirSync(place)).toEqual(['marks.json']);
  });

  test('--unit is for people alone', () => {
    const line = ['marks', MACHINE, '--result', first, '--all-show'];
    expect(jsonOf(proofboard([...line, '--unit', 'in', '--json']))).toEqual(
      jsonOf(proofboard([...line, '--json'])),
    );
    const { stdout, stderr } = proofboard([...line, '--unit', 'in']);
    expect(stdout).toMatch(/ft\/min .*pitch, in .*ridges, thou/);
    // Marks are told in 10 mm too.
    expect((stdout + stderr).replaceAll(/(per |\/)10 mm/g, '')).not.toMatch(/\d (mm|µm)\b|m\/min/);
  });
});

describe('what people read', () => {
  const lines = (): { line: string[] }[] => [
    { line: ['marks', MACHINE] },
    { line: ['marks', MACHINE, '--pitch', '1', '--ridge', '8 um', '--all-show'] },
    { line: ['marks', MACHINE, '--result', first, '--all-show', '--feed', '7 m/min'] },
    { line: ['marks', MACHINE, '--result', first, '--all-show', '--unit', 'in'] },
    { line: ['marks', MACHINE, '--result', strips, '--all-show'] },
    { line: ['marks', INCHES] },
    { line: ['marks', UNEVEN, '--unit', 'in'] },
    { line: ['marks', '--help'] },
  ];

  test('is no wider than 80 columns, without a figure that is none', () => {
    for (const { line } of lines()) {
      const { stdout } = proofboard(line);
      expect(stdout.split('\n').filter((text) => [...text].length > 80)).toEqual(
        // An example is to be copied as it stands.
        line.includes('--help') ? expect.arrayContaining([]) : [],
      );
      const bad = /[-−+]0(\.0+)?(?![\d.])|\b(NaN|null|undefined|Infinity)\b|\[object/g;
      expect(stdout.match(bad) ?? []).toEqual([]);
      expect(stdout.match(/[^\n]*[ \t]\n|\n\n\n/g) ?? []).toEqual([]);
    }
  });

  test('a block of twenty-four knives keeps within 80 columns too', () => {
    const ids = Array.from({ length: 24 }, (_, k) => `"${k + 1}"`).join(', ');
    const [machine] = written(temporaryFolder(), {
      'many.toml': readFileSync(join(root, THICKNESSER), 'utf8').replace(
        /^knives = .*$/m,
        `knives = [${ids}]`,
      ),
    });
    const some = resultWith(
      Array.from({ length: 24 }, (_, k) => [0.01 * (k % 3), 0.002 * (k % 5)] as const),
      [40, 150, 260, 370, 480],
    );
    for (const unit of ['mm', 'in']) {
      const { code, stdout } = proofboard(['marks', machine!, '--result', some, '--unit', unit]);
      expect(code).toBe(0);
      expect(stdout.split('\n').filter((text) => [...text].length > 80)).toEqual([]);
    }
  });

  test('begins with the finish in trade words', () => {
    const headline = (...line: string[]) =>
      proofboard(['marks', ...line])
        .stdout.split('\n\n')[0]!
        .replaceAll('\n', ' ');
    expect(headline(MACHINE)).toBe(
      'A four-knife finish where all knives are equal: 50.8 marks an inch, ridges 0.52 µm.',
    );
    expect(headline(INCHES)).toBe(
      'A three-knife finish where all knives are equal: 37.5 marks an inch, ridges 0.070 thou.',
    );
    expect(headline(THICKNESSER, '--result', resultWith(LEADING, [205]))).toBe(
      'A one-knife finish: 12.7 marks an inch, ridges 8.2 µm.',
    );
    expect(headline(MACHINE, '--result', strips)).toMatch(/is not known/);
  });

  test('tells of the machine file’s own feed, of the one asked for, and of the manual', () => {
    const text = proofboard(['marks', MACHINE, '--feed', '7 m/min']).stdout;
    expect(text).toMatch(/^ {2}9 \* +0\.500 +50\.8 +20\.0 +0\.52 +four-knife$/m);
    expect(text).toMatch(/^ {2}7 \+ /m);
    expect(text.replaceAll(/\s+/g, ' ')).toMatch(
      /More feed loads each knife more: the machine's manual decides what it may be fed at/,
    );
    expect(text).toContain('Cautions');
  });

  test('goes through a pipe that closes early', () => {
    const run = shell(`set -o pipefail; proofboard marks ${MACHINE} | head -n 1`);
    expect(run).toMatchObject({ code: 0, stderr: '' });
  });
});
