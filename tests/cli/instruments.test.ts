import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import type { Result } from '../../src/record/result.js';
import { scoopThickness } from '../workshop/cutting.js';
import { demoShop } from '../workshop/demo-shop.js';
import { narrowStrips } from '../workshop/designs.js';
import { seeded } from '../workshop/random.js';
import { truthOf } from '../workshop/simulate.js';
import { contractFaults } from './contract.js';
import {
  BOARDS,
  CARRY,
  GAUGE,
  jsonOf,
  MACHINE,
  MARKS,
  proofboard,
  RERUN,
  RERUN_MARKS,
  root,
  STRIPS,
  spoken,
  temporaryFolder,
  written,
} from './program.js';

const OWNER = { finestTurn: 1 / 16, raisedBy: 'anticlockwise' } as const;

const ALL = ['--gauge', GAUGE, '--carry', CARRY, '--marks', MARKS];

/** What stands in a file of the project. */
function textOf(name: string): string {
  return readFileSync(join(root, name), 'utf8');
}

/** A copy of a file in which every row of values is another; rows are counted from 0. */
function changed(
  name: string,
  change: (cells: readonly string[], row: number) => readonly string[],
): string {
  const lines = textOf(name).trimEnd().split('\n');
  const header = lines.findIndex((line) => !line.startsWith('#'));
  const text = lines.map((line, i) =>
    i <= header ? line : change(line.split(','), i - header - 1).join(','),
  );
  const base = name.split('/').at(-1)!;
  return written(temporaryFolder(), { [base]: `${text.join('\n')}\n` })[0]!;
}

/** Where a row of values of a demonstration file stands: below comments and header. */
const lineOfRow = (row: number) => row + 5;

function resultOf(...line: string[]): Result {
  return jsonOf(proofboard([...line, '--json']));
}

function endsOf({ knives }: Result) {
  return knives.flatMap(({ id, ends }) =>
    ends.map((end) => ({ ...end, what: `${id} ${end.name}` })),
  );
}

const alone = resultOf('analyse', MACHINE, BOARDS);

/** Truth by knife and end, as results name them. */
const TRUTH = new Map<string, number>(
  truthOf(demoShop()).offsets.flatMap(({ id, front, back }) => [
    [`${id} front`, front] as const,
    [`${id} back`, back] as const,
  ]),
);

describe('other instruments into the same fit', () => {
  test.each(
    spoken([
      { line: ['--gauge', GAUGE], kinds: ['gauge'], totals: [45] },
      { line: ['--carry', CARRY], kinds: ['carry'], totals: [36] },
      { line: ['--marks', MARKS], kinds: ['marks'], totals: [55] },
      { line: ALL, kinds: ['gauge', 'carry', 'marks'], totals: [45, 36, 55] },
      {
        line: ['--marks', MARKS, '--carry', CARRY],
        kinds: ['carry', 'marks'],
        totals: [36, 55],
      },
    ]),
  )('$command', ({ line, kinds, totals }) => {
    const run = proofboard(['analyse', MACHINE, BOARDS, ...line, '--json']);
    const result: Result = jsonOf(run);
    expect(run.code).toBe(0);
    expect(contractFaults(result, OWNER)).toEqual([]);
    expect(result.instruments.map(({ kind }) => kind)).toEqual(kinds);
    expect(result.instruments.map(({ total }) => total)).toEqual(totals);
    for (const { used, total, agrees, pValue } of result.instruments) {
      expect([used, agrees]).toEqual([total, true]);
      expect(pValue).toBeGreaterThan(0.01);
    }
    // Readings are those of boards, and stay so.
    expect(result.readings).toMatchObject({ total: 100, used: 98 });
    expect(result.fitted).toHaveLength(98);
    for (const { what, offset, U } of endsOf(result)) {
      expect(Math.abs(offset! - TRUTH.get(what)!)).toBeLessThan(1.5 * U!);
    }
    expect(result.moves.map(({ knife, end, turns }) => [knife, end, turns])).toEqual([
      ['2', 'front', -0.125],
      ['3', 'back', 0.125],
    ]);
    expect(run.stderr).not.toContain(GAUGE);
  });

  test('tell of every end what boards alone tell less well', () => {
    const before = endsOf(alone).map(({ U }) => U!);
    const narrower = (...line: string[]) =>
      endsOf(resultOf('analyse', MACHINE, BOARDS, ...line)).map(({ U }, i) => U! / before[i]!);
    expect(Math.max(...narrower('--gauge', GAUGE))).toBeLessThan(0.7);
    expect(Math.max(...narrower('--carry', CARRY))).toBeLessThan(1.01);
    expect(Math.max(...narrower(...ALL))).toBeLessThan(0.6);
    // Only knives 1 and 4, at the back, leave marks that tell them from each other.
    const marks = narrower('--marks', MARKS);
    expect(marks[1]).toBeLessThan(0.5);
    expect(marks[7]).toBeLessThan(0.5);
  });

  test('tell knives that leave marks from each other to a micrometre or two', () => {
    const { knives, covariance } = resultOf('analyse', MACHINE, BOARDS, '--marks', MARKS);
    const [one, four] = ['1 back', '4 back'].map((name) => covariance!.of.indexOf(name));
    const { matrix } = covariance!;
    const variance = matrix[one!]![one!]! + matrix[four!]![four!]! - 2 * matrix[one!]![four!]!;
    expect(Math.sqrt(variance)).toBeLessThan(0.002);
    const apart = knives[0]!.ends[1]!.offset! - knives[3]!.ends[1]!.offset!;
    const truth = TRUTH.get('1 back')! - TRUTH.get('4 back')!;
    expect(Math.abs(apart - truth)).toBeLessThan(3 * Math.sqrt(variance));
  });

  test('come without hand cuts too: two strips tell the bed, the instruments the knives', () => {
    const run = proofboard([
      'analyse',
      MACHINE,
      STRIPS,
      '--gauge',
      GAUGE,
      '--carry',
      CARRY,
      '--json',
    ]);
    const result: Result = jsonOf(run);
    expect(run.code).toBe(0);
    expect(contractFaults(result, OWNER)).toEqual([]);
    for (const { what, offset, U } of endsOf(result)) {
      expect(Math.abs(offset! - TRUTH.get(what)!)).toBeLessThan(1.5 * U!);
    }
    expect(Math.abs(result.bed.tilt! - truthOf(demoShop()).bedTilt)).toBeLessThan(result.bed.U!);
  });

  test('are listed among the files, boards first', () => {
    const result = resultOf('analyse', MACHINE, BOARDS, ...ALL);
    expect(result.files).toEqual(
      [BOARDS, GAUGE, CARRY, MARKS].map((name) => ({
        name,
        sha256: createHash('sha256')
          .update(readFileSync(join(root, name)))
          .digest('hex'),
      })),
    );
  });

  test('may stand in several files of a kind, and in any order', () => {
    const lines = textOf(GAUGE).trimEnd().split('\n');
    const [head, rows] = [lines[3]!, lines.slice(4)];
    const files = written(temporaryFolder(), {
      'front.csv': `${[head, ...rows.filter((row) => row.includes(',40,'))].join('\n')}\n`,
      'rest.csv': `${[head, ...rows.filter((row) => !row.includes(',40,'))].join('\n')}\n`,
    });
    const whole = resultOf('analyse', MACHINE, BOARDS, '--gauge', GAUGE);
    const parts = resultOf('analyse', MACHINE, BOARDS, '--gauge', files[1]!, '--gauge', files[0]!);
    expect(parts.instruments[0]!.total).toBe(45);
    endsOf(parts).forEach(({ offset }, i) => {
      expect(offset).toBeCloseTo(endsOf(whole)[i]!.offset!, 9);
    });
  });

  test('are told of in words', () => {
    const { stdout } = proofboard(['analyse', MACHINE, BOARDS, ...ALL]);
    const words = stdout.replaceAll(/\s+/g, ' ');
    expect(words).toMatch(
      /Other instruments gauge: 45 of 45 readings in the fit, each good to 0\.00\d mm \(standard deviation\); in agreement with the boards\. carried rule: 36 of 36 carries .* knife marks: 55 of 55 ridges .* Against the block's body: the bed has \+0\.0\d+ ± 0\.0\d+ mm more gap at the back/,
    );
    expect(stdout.split('\n').filter((line) => [...line].length > 80)).toEqual([]);
    expect(proofboard(['analyse', MACHINE, BOARDS]).stdout).not.toContain('Other instruments');
  });

  test('are told of in inches where those are asked for', () => {
    const line = ['analyse', MACHINE, BOARDS, ...ALL, '--unit', 'in'];
    const { stdout } = proofboard(line);
    expect(stdout).toMatch(/gauge: 45 of 45 readings in the fit, each good to 0\.000\d in/);
    expect(stdout.match(/Other instruments\n([\s\S]*?)\n\n/)![1]).not.toMatch(/mm|µm/);
    const both = [line, line.slice(0, -2)].map((each) => jsonOf(proofboard([...each, '--json'])));
    expect({ ...both[0], date: null }).toEqual({ ...both[1], date: null });
  });

  test('--out writes them as --json prints them', () => {
    const out = join(temporaryFolder(), 'result.json');
    const line = ['analyse', MACHINE, BOARDS, ...ALL, '--out', out];
    expect(proofboard(line).code).toBe(0);
    const { date: _, ...file } = JSON.parse(readFileSync(out, 'utf8'));
    const { date: __, ...printed } = resultOf('analyse', MACHINE, BOARDS, ...ALL);
    expect(file).toEqual(printed);
  });

  test('--gauge - reads standard input', () => {
    const piped = proofboard(['analyse', MACHINE, BOARDS, '--gauge', '-', '--json'], {
      input: textOf(GAUGE),
    });
    expect(piped.code).toBe(0);
    expect(jsonOf(piped).knives).toEqual(
      resultOf('analyse', MACHINE, BOARDS, '--gauge', GAUGE).knives,
    );
  });
});

describe('bed and knives against the body of the block', () => {
  test('are told where the gauge was held to it at both ends', () => {
    const { body } = resultOf('analyse', MACHINE, BOARDS, '--gauge', GAUGE);
    const shop = demoShop();
    const mean = (end: 'front' | 'back') =>
      shop.knives.reduce((sum, knife) => sum + knife[end], 0) / shop.knives.length;
    expect(Math.abs(body!.bedTilt.value! - shop.tilt)).toBeLessThan(body!.bedTilt.U!);
    expect(Math.abs(body!.slant.value! - (mean('back') - mean('front')))).toBeLessThan(
      body!.slant.U!,
    );
  });

  test('are left out, not guessed, where it was held to it at one end or not at all', () => {
    const toOneEnd = changed(GAUGE, (cells) =>
      cells[0] === 'body' && cells[1] !== '40' ? ['1', ...cells.slice(1, 2), '', cells[3]!] : cells,
    );
    for (const files of [['--gauge', toOneEnd], ['--carry', CARRY], []]) {
      const result = resultOf('analyse', MACHINE, BOARDS, ...files);
      expect(result).not.toHaveProperty('body');
      expect(contractFaults(result, OWNER)).toEqual([]);
    }
  });
});

/** Knife 1 a tenth too far out wherever the gauge was. */
const gaugeOff = () =>
  changed(GAUGE, ([knife, x, reading, zero]) => [
    knife!,
    x!,
    knife === '1' ? (Number(reading) + 0.1).toFixed(2) : reading!,
    zero!,
  ]);
/** Carries of knives 2 and 3 written down for each other. */
const carryExchanged = () =>
  changed(CARRY, ([knife, ...rest]) => [{ '2': '3', '3': '2' }[knife!] ?? knife!, ...rest]);
/** Marks at the front said to be of knife 3, which is a tenth lower there than knife 2. */
const marksOfAnother = () =>
  changed(MARKS, ([board, x, y, knife]) => [board!, x!, y!, x === '40' ? '3' : knife!]);

describe('instruments that contradict the boards', () => {
  test.each([
    { kind: 'gauge', file: gaugeOff, name: 'the gauge' },
    { kind: 'carry', file: carryExchanged, name: 'the carried rule' },
    { kind: 'marks', file: marksOfAnother, name: 'the knife marks' },
  ])('$kind: nothing is averaged, nothing is turned', ({ kind, file, name }) => {
    const line = [BOARDS, `--${kind}`, file()];
    const run = proofboard(['analyse', MACHINE, ...line, '--json']);
    const result: Result = jsonOf(run);
    expect(run.code).toBe(3);
    expect(contractFaults(result, OWNER)).toEqual([]);
    expect(result.instruments).toEqual([expect.objectContaining({ kind, used: 0, agrees: false })]);
    expect(result.moves).toEqual([]);
    expect(result.expected).toEqual({ worstEnd: null, bedTilt: null, probabilityInside: null });
    expect(result.verdicts).toEqual({ knives: 'undecided', bed: 'inside', together: 'undecided' });
    expect(result.knives).toEqual(alone.knives);
    expect(result.bed).toEqual(alone.bed);
    expect(run.stderr).toMatch(/warning: .* and the boards contradict each other beyond chance/);
    const text = proofboard(['analyse', MACHINE, ...line]).stdout.replaceAll(/\s+/g, ' ');
    expect(text).toContain(`The boards and ${name} contradict each other: turn nothing yet.`);
    expect(text).toContain('Nothing yet: instruments contradict each other.');
    expect(text).not.toMatch(/\[ \]/);
  });

  test('leave confirm undecided', () => {
    // Four equal marks where, by the boards, one knife stands alone by 0.015 mm.
    const marks = changed(RERUN_MARKS, ([board, x, y], row) => [
      board!,
      x!,
      x === '40' ? (150 + 0.5 * row).toFixed(2) : y!,
    ]);
    const run = proofboard(['confirm', MACHINE, RERUN, '--marks', marks, '--json']);
    const result: Result = jsonOf(run);
    expect(run.code).toBe(3);
    expect(contractFaults(result, OWNER)).toEqual([]);
    expect(result.instruments).toEqual([expect.objectContaining({ used: 0, agrees: false })]);
    expect(result.verdicts.together).toBe('undecided');
  });

  test('do not draw the others down with them', () => {
    const line = [BOARDS, '--gauge', gaugeOff(), '--carry', carryExchanged(), '--marks', MARKS];
    const result = resultOf('analyse', MACHINE, ...line);
    expect(contractFaults(result, OWNER)).toEqual([]);
    expect(result.instruments.map(({ kind, agrees }) => [kind, agrees])).toEqual([
      ['gauge', false],
      ['carry', false],
      ['marks', true],
    ]);
    expect(proofboard(['analyse', MACHINE, ...line]).stdout.split('\n\n')[0]).toMatch(
      /The boards and the gauge and the carried rule contradict each other/,
    );
  });
});

describe('single readings', () => {
  /** The reading of knife 1 in the middle, in the first round, two tenths too much. */
  const ROW = 5;
  const misread = () =>
    changed(GAUGE, (cells, row) =>
      row === ROW ? [...cells.slice(0, 2), (Number(cells[2]) + 0.2).toFixed(2), cells[3]!] : cells,
    );

  test('a misread is set aside aloud, the rest stays', () => {
    const file = misread();
    const run = proofboard(['analyse', MACHINE, BOARDS, '--gauge', file, '--json']);
    const result: Result = jsonOf(run);
    expect(run.code).toBe(0);
    expect(contractFaults(result, OWNER)).toEqual([]);
    expect(result.instruments[0]).toMatchObject({ total: 45, used: 44, agrees: true });
    const [aside] = result.instruments[0]!.setAside;
    expect(aside).toMatchObject({
      file,
      line: lineOfRow(ROW),
      knife: '1',
      x: 260,
      value: 0.87,
      reason: 'misread',
    });
    expect(aside!.residual).toBeGreaterThan(0.17);
    expect(aside!.residual).toBeLessThan(0.23);
    const where = `${file}:${lineOfRow(ROW)}`;
    expect(run.stderr).toMatch(new RegExp(`^${where}: warning: set aside .*--use ${where}`, 'm'));
    const { stdout } = proofboard(['analyse', MACHINE, BOARDS, '--gauge', file]);
    expect(stdout).toMatch(/gauge: 44 of 45 readings in the fit/);
    expect(stdout.replaceAll(/\s+/g, ' ')).toMatch(
      new RegExp(`${where}: 0\\.870 mm at knife 1, x 260 mm, \\+0\\.\\d+ mm off: misread`),
    );
  });

  test('--use keeps it, and the instrument reads worse by it', () => {
    const file = misread();
    const place = `${file}:${lineOfRow(ROW)}`;
    const line = ['analyse', MACHINE, BOARDS, '--gauge', file];
    const [left, kept] = [line, [...line, '--use', place]].map((each) => resultOf(...each));
    expect(contractFaults(kept!, OWNER)).toEqual([]);
    expect(kept!.instruments[0]).toMatchObject({ total: 45, used: 45, setAside: [] });
    expect(kept!.instruments[0]!.sd!).toBeGreaterThan(3 * left!.instruments[0]!.sd!);
  });

  test.each([
    { option: '--gauge', file: GAUGE, entry: { knife: '1', x: 40, value: -0.48 } },
    { option: '--carry', file: CARRY, entry: { knife: '1', x: 40, value: 5.5 } },
    { option: '--marks', file: MARKS, entry: { knife: '2', x: 40, value: 151.55 } },
  ])('--exclude leaves one of $option out', ({ option, file, entry }) => {
    const place = `${file}:${lineOfRow(0)}`;
    const run = proofboard([
      ...['analyse', MACHINE, BOARDS, option, file, '--exclude', place, '--json'],
    ]);
    const result: Result = jsonOf(run);
    expect(run.code).toBe(0);
    expect(contractFaults(result, OWNER)).toEqual([]);
    const [instrument] = result.instruments;
    expect(instrument!.used).toBe(instrument!.total - 1);
    expect(instrument!.setAside).toEqual([
      { file, line: lineOfRow(0), ...entry, residual: null, reason: 'excluded' },
    ]);
  });

  test.each(['--exclude', '--use'])('%s of a line that holds none is refused', (option) => {
    for (const place of [`${GAUGE}:1`, `${GAUGE}:999`, `${CARRY}:5`]) {
      const run = proofboard([
        ...['analyse', MACHINE, BOARDS, '--gauge', GAUGE, option, place, '--json'],
      ]);
      expect([place, run.code]).toEqual([place, 2]);
      expect(run.stderr).toContain(`${option} ${place}`);
      expect(run.stderr).toContain(`expected a line with a reading in ${BOARDS}, ${GAUGE}`);
    }
  });
});

describe('confirm with marks', () => {
  test('unlabelled marks take part where the boards settle whose they are', () => {
    const run = proofboard(['confirm', MACHINE, RERUN, '--marks', RERUN_MARKS, '--json']);
    const result: Result = jsonOf(run);
    expect(run.code).toBe(0);
    expect(contractFaults(result, OWNER)).toEqual([]);
    expect(result.instruments).toEqual([expect.objectContaining({ kind: 'marks', total: 75 })]);
    // At some places two knives leave marks that calipers cannot tell apart.
    const open = result.notices.filter(({ code }) => code === 'whose-marks');
    expect(open.length).toBeGreaterThan(0);
    const firstOfARow = textOf(RERUN_MARKS)
      .split('\n')
      .flatMap((line, i, lines) =>
        /^F1,/.test(line) && line.split(',')[1] !== lines[i - 1]!.split(',')[1] ? [i + 1] : [],
      );
    for (const { file, line } of open) {
      expect(file).toBe(RERUN_MARKS);
      expect(firstOfARow).toContain(line);
    }
    for (const { hint } of open) expect(hint).toContain('chalk one knife');
  });

  test('goes with --against', () => {
    const first = join(temporaryFolder(), 'first.json');
    proofboard(['analyse', MACHINE, BOARDS, ...ALL, '--out', first]);
    const run = proofboard([
      ...['confirm', MACHINE, RERUN, '--marks', RERUN_MARKS, '--against', first, '--json'],
    ]);
    expect(run.code).toBe(0);
    for (const { got, u } of jsonOf(run).since) {
      expect(Math.abs(Math.abs(got) - 0.125)).toBeLessThan(0.03);
      expect(u).toBeLessThan(0.007);
    }
  });
});

describe('bad input: exit 2, and every fault named with its place', () => {
  const broken = (kind: string, name: string) => ({
    line: ['analyse', MACHINE, BOARDS, `--${kind}`, `fixtures/broken/${name}.csv`],
  });

  test.each(
    spoken([
      { ...broken('gauge', 'gauge-beyond'), says: ['gauge-beyond.csv:3:6: error', '-50 to 50 mm'] },
      { ...broken('gauge', 'gauge-knives'), says: ['gauge-knives.csv:5:1', '1, 2, 3, 4 or body'] },
      { ...broken('gauge', 'gauge-zeros'), says: ['gauge-zeros.csv:3:11', 'to which zero'] },
      {
        ...broken('gauge', 'gauge-divisions'),
        says: ['gauge-divisions.csv:1:9', 'divisions of the dial'],
      },
      { ...broken('gauge', 'gauge-positions'), says: ['gauge-positions.csv:3:3', '0 to 520 mm'] },
      { ...broken('gauge', 'gauge-header-only'), says: ['gauge-header-only.csv:1:1'] },
      {
        ...broken('carry', 'carry-beyond'),
        says: ['carry-beyond.csv:4:6', 'write 0 where the edge'],
      },
      { ...broken('carry', 'carry-knives'), says: ['carry-knives.csv:4:1', 'no knife "body"'] },
      { ...broken('carry', 'carry-of-gauge'), says: ['carry-of-gauge.csv:1:1', 'after --gauge'] },
      { ...broken('marks', 'marks-boards'), says: ['marks-boards.csv:3:1', 'no board is named'] },
      { ...broken('marks', 'marks-positions'), says: ['marks-positions.csv:3:8', '0 to 20000 mm'] },
      { ...broken('marks', 'marks-units'), says: ['marks-units.csv:2:12', 'y alone'] },
      { ...broken('marks', 'marks-of-thicknesses'), says: ['thickness readings, not knife marks'] },
      { line: ['analyse', MACHINE, GAUGE], says: [`${GAUGE}:4:1`, 'after --gauge'] },
      { line: ['analyse', MACHINE, BOARDS, MARKS], says: [`${MARKS}:4:1`, 'after --marks'] },
      {
        line: ['confirm', MACHINE, RERUN, '--carry', MARKS],
        says: [`${MARKS}:4:1`, 'not carries of a rule'],
      },
      {
        line: ['analyse', MACHINE, BOARDS, '--gauge', 'nothing.csv'],
        says: ['cannot read nothing.csv: no such file'],
      },
      {
        line: ['analyse', MACHINE, BOARDS, '--carry', 'fixtures/demo'],
        says: ['cannot read fixtures/demo: it is a folder'],
      },
    ]),
  )('$command', ({ line, says }) => {
    const run = proofboard([...line, '--json']);
    expect(run.code).toBe(2);
    const { schema, notices, ...rest } = jsonOf(run);
    expect([schema, rest]).toEqual(['proofboard/result@1', {}]);
    for (const words of says) expect(run.stderr).toContain(words);
    for (const each of notices.filter(({ severity }: { severity: string }) => severity === 'error'))
      expect(each.hint ?? '').not.toBe('');
    expect(proofboard(line).stdout).toBe('');
  });

  test('faults of all instruments are told in one go', () => {
    const files = ['gauge-zeros', 'carry-knives', 'marks-knives'].map(
      (name) => `fixtures/broken/${name}.csv`,
    );
    const run = proofboard([
      ...['analyse', MACHINE, BOARDS, '--gauge', files[0]!, '--carry', files[1]!],
      ...['--marks', files[2]!, '--json'],
    ]);
    const told = new Set(jsonOf(run).notices.map(({ file }: { file: string }) => file));
    expect(run.code).toBe(2);
    expect(files.filter((file) => told.has(file))).toEqual(files);
  });

  test.each([
    { how: 'twice as a gauge', line: [BOARDS, '--gauge', GAUGE, '--gauge', `./${GAUGE}`] },
    { how: 'as boards and as a gauge', line: [BOARDS, '--gauge', BOARDS] },
    { how: 'as a gauge and as carries', line: [BOARDS, '--gauge', GAUGE, '--carry', GAUGE] },
    { how: 'as standard input twice', line: ['-', '--marks', '-'] },
  ])('the same file $how', ({ line }) => {
    const run = proofboard(['analyse', MACHINE, ...line, '--json'], { input: textOf(BOARDS) });
    expect(run.code).toBe(2);
    expect(jsonOf(run).notices).toEqual([expect.objectContaining({ code: 'given-twice' })]);
  });

  test.each(['speed = "9 m/min"', 'speed = "4500 rpm"'])('marks without %s', (speed) => {
    const text = textOf(MACHINE).replace(`${speed}\n`, '');
    expect(text).not.toBe(textOf(MACHINE));
    const [machine] = written(temporaryFolder(), { 'machine.toml': text });
    const run = proofboard(['analyse', machine!, BOARDS, '--marks', MARKS, '--json']);
    expect(run.code).toBe(2);
    expect(jsonOf(run).notices).toContainEqual(
      expect.objectContaining({
        code: 'marks-without-feed',
        severity: 'error',
        expected: expect.stringContaining('[feed]'),
      }),
    );
    expect(proofboard(['analyse', machine!, BOARDS, '--gauge', GAUGE]).code).toBe(0);
  });
});

describe('scoops', () => {
  const shop = demoShop();
  /** Every scoop of five strips at the given places along it, its bottom up to some mm off. */
  function strips(places: readonly number[], offSd: number, scoop: (i: number) => string): string {
    const random = seeded(5);
    const rows = narrowStrips(shop, 5, 4).flatMap(({ board, knife, x, y }, i) => {
      const edge = shop.knives.find(({ id }) => id === knife)!;
      const bottom = y + random.normal(offSd);
      return places.map((away) => {
        const thickness =
          scoopThickness(shop, edge, x, y + away - bottom, 0.3) + random.normal(0.008);
        return [board, knife, x, y + away, scoop(i), thickness.toFixed(2)].join(',');
      });
    });
    const [file] = written(temporaryFolder(), {
      'scoops.csv': `board,knife,x,y,scoop,thickness\n${rows.join('\n')}\n`,
    });
    return file!;
  }

  test('read at several places have a bottom of their own', () => {
    const arcs = strips([-6, -3, 0, 3, 6], 1.5, (i) => `s${i}`);
    const run = proofboard(['analyse', MACHINE, arcs, '--json']);
    const result: Result = jsonOf(run);
    expect(run.code).toBe(0);
    expect(contractFaults(result, OWNER)).toEqual([]);
    expect(result.notices.map(({ code }) => code)).not.toContain('off-the-bottom');
    for (const { what, offset, U } of endsOf(result)) {
      expect(U).toBeLessThan(0.009);
      expect(Math.abs(offset! - TRUTH.get(what)!)).toBeLessThan(1.5 * U!);
    }
    // The same readings as if each were a bottom: thick by up to a millimetre's third.
    const unnamed = resultOf(
      'analyse',
      MACHINE,
      strips([-6, -3, 0, 3, 6], 1.5, () => ''),
    );
    expect(Math.min(...endsOf(unnamed).map(({ U }) => U ?? 1))).toBeGreaterThan(0.02);
  });

  test('read once each, beside their bottoms, are warned of', () => {
    const run = proofboard(['analyse', MACHINE, strips([0], 2, () => ''), '--json']);
    expect(jsonOf(run).notices).toContainEqual(
      expect.objectContaining({ code: 'off-the-bottom', severity: 'warning' }),
    );
    expect(run.stderr).toMatch(/smallest of three/);
  });
});
