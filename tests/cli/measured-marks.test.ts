import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import type { MarksReport, MarksStation } from '../../src/record/marks.js';
import type { Loupe } from '../workshop/loupe.js';
import { drawJob, type MarksLoopOptions, truthAt } from '../workshop/marks-loop.js';
import { marksFaults } from './marks-contract.js';
import {
  BOARDS,
  GAUGE,
  jsonOf,
  MACHINE,
  MARKS,
  proofboard,
  RERUN,
  RERUN_MARKS,
  root,
  temporaryFolder,
  written,
} from './program.js';

/** Three knives that all leave marks, 4 mm a revolution, at two places. */
const SHOWING: MarksLoopOptions = {
  machines: 1,
  seed: 0,
  knives: 3,
  range: 0.015,
  stations: [40, 260],
};

const SEED = 70_001;

/** One of the blocks whose knives stand so that calipers settle whose the marks are. */
const SETTLED = {
  ...SHOWING,
  seed: 70_002,
  range: 0.02,
  spanning: true,
  stations: [40, 260, 480],
} satisfies MarksLoopOptions;

/** A block whose ridges somebody read, written into files. */
function jobOf(loupe: Partial<Loupe> = {}, options: Partial<MarksLoopOptions> = {}) {
  const job = drawJob(options.seed ?? SEED, { ...SHOWING, ...options, loupe });
  const [machine, marks, boards] = written(temporaryFolder(), {
    'machine.toml': job.machine,
    'marks.csv': job.marks,
    'boards.csv': job.boards,
  });
  return { ...job, files: { machine: machine!, marks: marks!, boards: boards! } };
}

function reportOf(...line: string[]): MarksReport {
  return jsonOf(proofboard(['marks', ...line, '--json']));
}

/** What one station says of its knives. */
function heightsOf({ knives }: MarksStation) {
  return knives.map(({ offset }) => offset);
}

/** Stations as far as they tell anything that does not depend on where the file lies. */
function bare({ stations, reading }: MarksReport) {
  return { stations, reading: { ...reading, setAside: [] } };
}

describe('ridges with labels', () => {
  test('tell each knife to a fraction of a micrometre, and are read as well as they are', () => {
    const { files, shop, rows } = jobOf();
    const run = proofboard(['marks', files.machine, files.marks, '--json']);
    const report: MarksReport = jsonOf(run);
    expect(run).toMatchObject({ code: 0, stderr: '' });
    expect(marksFaults(report)).toEqual([]);
    expect(report.reading).toMatchObject({ ridges: rows.length, used: rows.length, setAside: [] });
    expect(report.reading!.sd).toBeGreaterThan(0.035);
    expect(report.reading!.sd).toBeLessThan(0.065);
    expect(report.stations.map(({ x }) => x)).toEqual([40, 260]);
    for (const station of report.stations) {
      const { heights } = truthAt(shop, station.x!);
      const mean = [...heights.values()].reduce((sum, height) => sum + height, 0) / heights.size;
      for (const { id, offset, u } of station.knives) {
        expect(u).toBeLessThan(0.0003);
        expect(Math.abs(offset! - (heights.get(id)! - mean))).toBeLessThan(3.5 * u!);
      }
      expect(station.perRevolution / (shop.feedSpeed / shop.speed)).toBeCloseTo(1, 2);
    }
  });

  test('a few are enough, where all knives show', () => {
    const all = jobOf();
    const some = jobOf({ labels: 'some' });
    const [one, other] = [all, some].map(({ files }) => reportOf(files.machine, files.marks));
    expect(marksFaults(other)).toEqual([]);
    expect(other!.stations.map(({ ambiguous }) => ambiguous)).toEqual([false, false]);
    expect(other!.stations.map(({ finishing }) => finishing)).toEqual(
      one!.stations.map(({ finishing }) => finishing),
    );
  });

  test('a hidden knife gets a limit and no height', () => {
    const report = reportOf(MACHINE, MARKS);
    expect(marksFaults(report)).toEqual([]);
    expect(report.stations.map(({ finishing }) => finishing)).toEqual([
      ['2'],
      ['2'],
      ['2'],
      ['2'],
      ['1', '4'],
    ]);
    for (const { knives } of report.stations) {
      for (const { shows, offset, u, atMost } of knives.filter((knife) => !knife.shows)) {
        expect([shows, offset, u]).toEqual([false, null, null]);
        expect(atMost).toBeLessThan(0);
        expect(atMost).toBeGreaterThan(-0.01);
      }
    }
    const text = proofboard(['marks', MACHINE, MARKS]).stdout;
    expect(text).toMatch(/^A one- to two-knife finish: 12\.7 to 25\.4 marks an inch/);
    expect(text).toMatch(/^ {2}1 +under −\d\.\d/m);
    expect(text).toMatch(/55 of 55 ridges used; one is read to 4\d µm/);
  });

  test('of several files and boards are told together', () => {
    const job = jobOf({}, { boards: 2 });
    const [head, ...rows] = job.marks.trimEnd().split('\n');
    const files = written(temporaryFolder(), {
      'f1.csv': `${[head, ...rows.filter((row) => row.startsWith('F1'))].join('\n')}\n`,
      'f2.csv': `${[head, ...rows.filter((row) => row.startsWith('F2'))].join('\n')}\n`,
    });
    const report = reportOf(job.files.machine, ...files);
    expect(marksFaults(report)).toEqual([]);
    expect(bare(report)).toEqual(bare(reportOf(job.files.machine, job.files.marks)));
    const one = reportOf(job.files.machine, files[0]!);
    report.stations.forEach(({ knives }, i) => {
      expect(knives[0]!.u!).toBeLessThan(0.9 * one.stations[i]!.knives[0]!.u!);
    });
  });

  test('overlooked, doubled and misread ones are told apart', () => {
    const { files, rows } = jobOf({ misreads: 1, doubleRate: 0.05, missRate: 0.03 });
    const run = proofboard(['marks', files.machine, files.marks, '--json']);
    const report: MarksReport = jsonOf(run);
    expect(run.code).toBe(0);
    expect(marksFaults(report)).toEqual([]);
    const misread = rows.flatMap(({ wrong }, i) => (wrong === 'misread' ? [i + 2] : []));
    const aside = report.reading!.setAside.map(({ line }) => line);
    expect(aside).toEqual(expect.arrayContaining(misread));
    // Of a ridge written down twice either reading may go.
    const isWrong = (line: number) => [line - 2, line - 1].some((row) => rows[row]?.wrong);
    expect(aside.filter((line) => !isWrong(line))).toEqual([]);
    for (const line of misread) {
      expect(run.stderr).toMatch(new RegExp(`^${files.marks}:${line}: warning: this ridge`, 'm'));
    }
    const { stdout } = proofboard(['marks', files.machine, files.marks]);
    expect(stdout.replaceAll(/\s+/g, ' ')).toMatch(
      /: ridge at y \d+\.?\d* mm, board F1, x (40|260) mm: misread/,
    );
  });
});

describe('ridges without labels', () => {
  test('have heights in order and no names: exit 3', () => {
    const { files } = jobOf({ labels: 'none' });
    const named = jobOf();
    const run = proofboard(['marks', files.machine, files.marks, '--json']);
    const report: MarksReport = jsonOf(run);
    expect(run.code).toBe(3);
    expect(marksFaults(report)).toEqual([]);
    const right = reportOf(named.files.machine, named.files.marks);
    report.stations.forEach((station, i) => {
      expect(station.ambiguous).toBe(true);
      expect(heightsOf(station)).toEqual([null, null, null]);
      const sorted = (values: readonly (number | null)[]) => values.map((v) => v!).toSorted();
      const inOrder = sorted(station.inOrder.map(({ offset }) => offset));
      sorted(heightsOf(right.stations[i]!)).forEach((height, mark) => {
        expect(inOrder[mark]).toBeCloseTo(height, 6);
      });
    });
    expect(run.stderr).toMatch(
      new RegExp(`^${files.marks}:2: warning: which knife cut which mark.*chalk one knife`, 'm'),
    );
    const { code, stdout } = proofboard(['marks', files.machine, files.marks]);
    expect(code).toBe(3);
    expect(stdout.replaceAll(/\s+/g, ' ')).toContain('which knives leave them is not settled');
    expect(stdout).toContain('Heights in order, not by name at x 40 mm');
  });

  test('are named by a result whose heights settle it', () => {
    const unlabelled = jobOf({ labels: 'none' }, SETTLED);
    const labelled = jobOf({}, SETTLED);
    const { machine, marks, boards } = unlabelled.files;
    const result = join(temporaryFolder(), 'first.json');
    proofboard(['analyse', machine, boards, '--out', result]);
    expect(proofboard(['marks', machine, marks]).code).toBe(3);
    const run = proofboard(['marks', machine, marks, '--result', result, '--json']);
    expect(run.code).toBe(0);
    expect(marksFaults(jsonOf(run))).toEqual([]);
    const right = reportOf(labelled.files.machine, labelled.files.marks);
    expect(bare(jsonOf(run))).toEqual(bare(right));
  });

  test('are named as far as a result settles it, and the rest stays open', () => {
    const result = join(temporaryFolder(), 'second.json');
    proofboard(['analyse', MACHINE, RERUN, '--out', result]);
    const run = proofboard(['marks', MACHINE, RERUN_MARKS, '--result', result, '--json']);
    const report: MarksReport = jsonOf(run);
    expect(run.code).toBe(3);
    expect(marksFaults(report)).toEqual([]);
    const open = report.stations.filter(({ ambiguous }) => ambiguous);
    const named = report.stations.filter(({ ambiguous }) => !ambiguous);
    expect(open.length).toBeGreaterThan(0);
    expect(named.length).toBeGreaterThan(1);
    expect(report.stations.map(({ marks }) => marks)).toEqual([1, 1, 2, 2, 2]);
    // After the moves knife 1 leads in front; from the middle on knife 3 leaves marks beside it.
    for (const { x, finishing } of named) expect(finishing).toEqual(x! < 200 ? ['1'] : ['1', '3']);
    expect(run.stderr).toContain('do not settle it with 99 % probability');
    const { stdout } = proofboard(['marks', MACHINE, RERUN_MARKS, '--result', result]);
    expect(stdout).toContain('Do not turn a screw by heights without names.');
  });
});

describe('written as people write', () => {
  const { machine, marks: csv } = drawJob(SEED, SHOWING);
  /** The machine file, and what its ridges say when they are plainly written. */
  function plain() {
    const { files } = jobOf();
    return { file: files.machine, right: bare(reportOf(files.machine, files.marks)) };
  }
  const rows = csv
    .trimEnd()
    .split('\n')
    .slice(1)
    .map((line) => line.split(','));
  const text = (head: string, row: (cells: readonly string[]) => string) =>
    `${[head, ...rows.map(row)].join('\n')}\n`;

  test.each([
    {
      how: 'with decimal commas and semicolons',
      csv: text('board;x;y;knife', ([board, x, y, knife]) =>
        [board, x, y!.replace('.', ','), knife].join(';'),
      ),
    },
    {
      how: 'with tabs, units in the headers, columns in another order',
      csv: text('Knife\ty (mm)\tX [cm]\tboard', ([board, x, y, knife]) =>
        [knife, y, Number(x) / 10, board].join('\t'),
      ),
    },
    {
      how: 'with Windows line ends and a byte-order mark',
      csv: `\ufeff${csv.replaceAll('\n', '\r\n')}`,
    },
  ])('$how', ({ csv: other }) => {
    const { file, right } = plain();
    const [marks] = written(temporaryFolder(), { 'other.csv': other });
    const run = proofboard(['marks', file, marks!, '--json']);
    expect(run).toMatchObject({ code: 0, stderr: '' });
    expect(bare(jsonOf(run))).toEqual(right);
  });

  test('on standard input', () => {
    const { file, right } = plain();
    const run = proofboard(['marks', file, '-', '--json'], { input: csv });
    expect(run.code).toBe(0);
    expect(bare(jsonOf(run))).toEqual(right);
  });

  test('in inches, by a machine file in inches', () => {
    const inch = (mm: string | number) => (Number(mm) / 25.4).toFixed(5);
    const [inches, marks] = written(temporaryFolder(), {
      'machine.toml': machine
        .replace('unit = "mm"', 'unit = "in"')
        .replace('cutting_diameter = 96', 'cutting_diameter = "96 mm"')
        .replace('length = 520', 'length = "520 mm"')
        .replace('at = [40, 480]', 'at = ["40 mm", "480 mm"]')
        .replace('lift_per_turn = 1', 'lift_per_turn = "1 mm"')
        .replace(/^(repeatability|knife|bed|resolution|max_error) = (.*)$/gm, '$1 = "$2 mm"'),
      'inches.csv': text('board,x,y,knife', ([board, x, y, knife]) =>
        [board, inch(x!), inch(y!), knife].join(','),
      ),
    });
    const run = proofboard(['marks', inches!, marks!, '--json']);
    expect(run.code).toBe(0);
    const report: MarksReport = jsonOf(run);
    expect(marksFaults(report)).toEqual([]);
    const { right } = plain();
    report.stations.forEach(({ knives }, i) => {
      knives.forEach(({ offset }, k) => {
        expect(Math.abs(offset! - right.stations[i]!.knives[k]!.offset!)).toBeLessThan(1e-6);
      });
    });
    const { stdout } = proofboard(['marks', inches!, marks!]);
    expect(stdout).toMatch(/Knives, thou from the mean/);
    expect(stdout.replaceAll(/(per |\/)10 mm/g, '')).not.toMatch(/\d (mm|µm)\b/);
  });
});

describe('bad ridges: exit 2', () => {
  function refused(machine: string, marks: string): string {
    const run = proofboard(['marks', machine, marks, '--json']);
    const { schema, notices, ...rest } = jsonOf(run);
    expect(run.code).toBe(2);
    expect([schema, rest]).toEqual(['proofboard/marks@1', {}]);
    expect(notices.some(({ severity }: { severity: string }) => severity === 'error')).toBe(true);
    expect(proofboard(['marks', machine, marks]).stdout).toBe('');
    return run.stderr;
  }

  test('labels that run backwards', () => {
    const { files } = jobOf({ labels: 'backwards' });
    expect(refused(files.machine, files.marks)).toMatch(
      new RegExp(
        `^${files.marks}:\\d+: error: the labels of board F1 run the wrong way: .*\\(expected the order 1, 2, 3, and round again\\); measure y from the leading end`,
        'm',
      ),
    );
  });

  test('backwards in analyse too', () => {
    const { files } = jobOf({ labels: 'backwards' });
    const run = proofboard([
      ...['analyse', files.machine, files.boards, '--marks', files.marks, '--json'],
    ]);
    expect(run.stderr).toContain('run the wrong way');
    expect(run.code).toBe(2);
  });

  test('one knife said to cut two marks of a revolution', () => {
    const { files, marks } = jobOf();
    const [twice] = written(temporaryFolder(), { 'twice.csv': marks.replaceAll(/,3$/gm, ',1') });
    expect(refused(files.machine, twice!)).toMatch(/knife 1 is said to have cut two marks/);
  });

  test('too few of them', () => {
    const { files, marks } = jobOf();
    const [few] = written(temporaryFolder(), {
      'few.csv': marks.split('\n').slice(0, 2).join('\n'),
    });
    expect(refused(files.machine, few!)).toMatch(
      new RegExp(`^${few}:2: error: .* do not cover two revolutions of about 4\\.00 mm`, 'm'),
    );
  });

  test('without a feed to read them by', () => {
    const [machine] = written(temporaryFolder(), {
      'machine.toml': readFileSync(join(root, MACHINE), 'utf8').replace('speed = "9 m/min"\n', ''),
    });
    expect(refused(machine!, MARKS)).toMatch(/\[feed\]/);
    const run = proofboard(['marks', machine!, MARKS, '--feed', '9 m/min', '--json']);
    expect(run.code).toBe(0);
    expect(bare(jsonOf(run))).toEqual(bare(reportOf(MACHINE, MARKS)));
  });

  test.each([
    { file: BOARDS, says: 'these look like thickness readings, not knife marks' },
    { file: GAUGE, says: 'these look like gauge readings, not knife marks' },
    { file: 'fixtures/broken/marks-knives.csv', says: 'marks-knives.csv:4:13: error' },
    {
      file: 'fixtures/broken/marks-split-decimals.csv',
      says: 'marks-split-decimals.csv:2:11: error',
    },
    { file: 'nothing.csv', says: 'no such file' },
  ])('$file', ({ file, says }) => {
    expect(refused(MACHINE, file)).toContain(says);
  });

  test('the same file twice', () => {
    const run = proofboard(['marks', MACHINE, MARKS, `./${MARKS}`, '--json']);
    expect(run.code).toBe(2);
    expect(jsonOf(run).notices).toEqual([expect.objectContaining({ code: 'given-twice' })]);
  });
});

describe('what people read', () => {
  test('is no wider than 80 columns, without a figure that is none', () => {
    const { files } = jobOf({ labels: 'none', doubleRate: 0.05 });
    for (const line of [
      [MACHINE, MARKS],
      [MACHINE, MARKS, '--unit', 'in'],
      [MACHINE, RERUN_MARKS],
      [files.machine, files.marks],
    ]) {
      const { stdout } = proofboard(['marks', ...line]);
      const wide = stdout.split('\n').filter((text) => [...text].length > 80);
      // A file's name stands as it was given.
      const ours = stdout.replaceAll(/\S+\.csv/g, 'a.csv');
      expect(wide.filter((text) => !text.includes('.csv'))).toEqual([]);
      const bad = /[-−+]0(\.0+)?(?![\d.])|\b(NaN|null|undefined|Infinity)\b/g;
      expect(ours.match(bad) ?? []).toEqual([]);
      expect(stdout).toContain('Cautions');
    }
  });

  test('goes to --out whole, with a wish answered by the knives as they were found', () => {
    const { files } = jobOf();
    const out = join(temporaryFolder(), 'marks.json');
    const line = ['marks', files.machine, files.marks, '--all-show', '--out', out];
    expect(proofboard(line).code).toBe(0);
    const report: MarksReport = JSON.parse(readFileSync(out, 'utf8'));
    expect(marksFaults(report)).toEqual([]);
    const [wanted] = report.wanted;
    expect(wanted!.feed).toBeGreaterThan(0);
    // They all show at the feed at which they were read: less is enough.
    expect(wanted!.feed! / 16_000).toBeLessThan(1.03);
  });
});
