import { existsSync, readdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import * as v from 'valibot';
import { describe, expect, test } from 'vitest';
import { demoShop } from '../workshop/demo-shop.js';
import { seeded } from '../workshop/random.js';
import { measure, truthOf } from '../workshop/simulate.js';
import { noticeShape } from './contract.js';
import { jsonOf, MACHINE, proofboard, root, temporaryFolder, written } from './program.js';

const INCHES = 'fixtures/machines/inch-jointer.toml';

interface Place {
  readonly board: string;
  readonly cut: string;
  readonly knife: string;
  readonly x: number;
  readonly y: number;
}

/** A sheet's cells by row, without its comments and header. */
function rowsOf(csv: string): string[][] {
  const lines = csv.split('\n').filter((line) => line !== '' && !line.startsWith('#'));
  return lines.slice(1).map((line) => line.split(','));
}

/** The blank cells of a sheet filled in its order, as a spreadsheet would. */
function filled(csv: string, readings: readonly string[]): string {
  const rest = [...readings];
  const lines = csv.split('\n').map((line) => {
    const isRow = line !== '' && !line.startsWith('#') && !line.startsWith('board,');
    return isRow ? line.replace(/,,$/, `,${rest.shift() ?? ''},`) : line;
  });
  expect(rest).toEqual([]);
  return lines.join('\n');
}

describe('a sheet in CSV', () => {
  test('has one blank row for each reading of the plan, in the order of measuring', () => {
    const run = proofboard(['sheet', MACHINE]);
    expect(run).toMatchObject({ code: 0, stderr: '' });
    const plan = jsonOf(proofboard(['plan', MACHINE, '--json']));
    const rows = rowsOf(run.stdout);
    expect(rows).toHaveLength(plan.readings);
    expect(rows.every((row) => row[5] === '')).toBe(true);
    const boards = plan.boards.map(({ board }: Place) => board);
    expect([...new Set(rows.map(([board]) => board))]).toEqual(boards);
  });

  test('filled in, goes straight into analyse, which finds the knives as they truly stand', () => {
    const folder = temporaryFolder();
    const out = join(folder, 'readings.csv');
    expect(proofboard(['sheet', MACHINE, '--out', out])).toMatchObject({ code: 0, stdout: '' });
    const places: Place[] = jsonOf(proofboard(['sheet', MACHINE, '--json'])).places;
    const caliper = { misreadRate: 0 };
    const { rows } = measure(demoShop(), places, seeded(7), { caliper });
    const csv = filled(
      readFileSync(out, 'utf8'),
      rows.map(({ thickness }) => thickness),
    );
    const [file] = written(folder, { 'filled.csv': csv });
    const run = proofboard(['analyse', MACHINE, file!, '--json']);
    expect(run).toMatchObject({ code: 0, stderr: '' });
    const { knives, readings } = jsonOf(run);
    expect(readings.total).toBe(places.length);
    const truth = truthOf(demoShop());
    for (const [i, { ends }] of knives.entries()) {
      expect(Math.abs(ends[0].offset - truth.offsets[i]!.front)).toBeLessThan(0.015);
      expect(Math.abs(ends[1].offset - truth.offsets[i]!.back)).toBeLessThan(0.015);
    }
  });

  test.each(['mm', 'in'])('in %s names its unit and reads back to the same places', (unit) => {
    for (const machine of [MACHINE, INCHES]) {
      const { places } = jsonOf(proofboard(['sheet', machine, '--json', '--unit', unit]));
      const run = proofboard(['sheet', machine, '--unit', unit]);
      expect(run.stdout).toContain(`x (${unit}),y (${unit}),thickness (${unit})`);
      const thickness = unit === 'mm' ? '20.05' : '0.789';
      const csv = filled(
        run.stdout,
        places.map(() => thickness),
      );
      const [file] = written(temporaryFolder(), { 'filled.csv': csv });
      const read = jsonOf(proofboard(['read', machine, file!, '--json']));
      expect(read.readings).toHaveLength(places.length);
      for (const [i, place] of places.entries()) {
        expect(read.readings[i]).toMatchObject({
          board: place.board,
          knife: place.knife,
          cut: place.cut,
        });
        expect(read.readings[i].x).toBeCloseTo(place.x, 6);
        expect(read.readings[i].y).toBeCloseTo(place.y, 6);
      }
    }
  });
});

describe('a sheet in HTML', () => {
  test.each(['sheet.html', 'Sheet.HTML', 'sheet.htm'])('%s is written whole, and small', (name) => {
    const folder = temporaryFolder();
    const out = join(folder, name);
    const run = proofboard(['sheet', MACHINE, '--out', out]);
    expect(run).toMatchObject({ code: 0, stdout: '', stderr: `written: ${out}\n` });
    const page = readFileSync(out, 'utf8');
    expect(page).toMatch(/^<!doctype html>.*<\/html>\n$/s);
    expect(page).toContain("default-src 'none'");
    expect(statSync(out).size).toBeLessThan(300_000);
    expect(readdirSync(folder)).toEqual([name]);
  });

  test('holds no library that it does not need', () => {
    const script = readFileSync(join(root, 'dist/sheet-page.js'), 'utf8');
    expect(script).not.toMatch(/mathjs|valibot|papaparse/i);
    expect(script.length).toBeLessThan(100_000);
  });

  test('tells the command as a shell takes it', () => {
    const folder = temporaryFolder();
    const [machine] = written(folder, {
      "the shop's.toml": readFileSync(join(root, MACHINE)),
    });
    const out = join(folder, 'first cut.html');
    expect(proofboard(['sheet', machine!, '--out', out]).code).toBe(0);
    const page = readFileSync(out, 'utf8').replaceAll('&#39;', "'");
    const quoted = machine!.replace("'", `'\\''`);
    expect(page).toContain(`<code>proofboard analyse '${quoted}' 'first cut.csv'</code>`);
  });
});

describe('the plan', () => {
  test('of a file is taken as it is, edited or not', () => {
    const folder = temporaryFolder();
    const plan = jsonOf(proofboard(['plan', MACHINE, '--cuts', 'full', '--json']));
    const boards = [{ ...plan.boards[0], board: 'mine', x: [50, 470], y: [100, 200] }];
    const [file] = written(folder, { 'plan.json': JSON.stringify({ ...plan, boards }) });
    const { places } = jsonOf(proofboard(['sheet', MACHINE, '--plan', file!, '--json']));
    expect(places).toEqual(
      [100, 200].flatMap((y) =>
        [50, 470].map((x) => ({ board: 'mine', cut: 'full', knife: 'all', x, y })),
      ),
    );
  });

  test('made of options is the one that plan makes of them', () => {
    const options = ['--stations', '4', '--repeats', '2', '--cuts', 'hand'];
    const { places } = jsonOf(proofboard(['sheet', MACHINE, ...options, '--json']));
    const plan = jsonOf(proofboard(['plan', MACHINE, ...options, '--json']));
    expect(places).toHaveLength(plan.readings);
    expect(new Set(places.map(({ x }: Place) => x)).size).toBe(4);
  });
});

describe('what cannot be done is refused in words, and nothing is written', () => {
  const planFile = (change: (plan: Record<string, unknown>) => unknown) => {
    const plan = jsonOf(proofboard(['plan', MACHINE, '--cuts', 'full', '--json']));
    return written(temporaryFolder(), { 'plan.json': JSON.stringify(change(plan)) })[0]!;
  };
  const board = { board: 'F1', cut: 'full', knives: ['all'], x: [40], y: [100] };

  test.each([
    {
      what: 'another ending',
      args: () => ['--out', 'x.pdf'],
      says: /x\.pdf: error: .*\.csv or \.html/,
    },
    { what: 'no ending', args: () => ['--out', 'x'], says: /no ending.*\.csv/ },
    {
      what: 'a plan of another machine',
      args: () => [
        '--plan',
        planFile((plan) => ({ ...plan, machine: { name: 'Other', knives: ['1'] } })),
      ],
      says: /plan\.json: error: this plan is of another machine: Other, not Demonstration/,
    },
    {
      what: 'a plan with other knives',
      args: () => [
        '--plan',
        planFile(({ machine, ...plan }) => ({
          ...plan,
          machine: { ...(machine as object), knives: ['1', '2'] },
        })),
      ],
      says: /its knives are 1, 2, not 1, 2, 3, 4/,
    },
    {
      what: 'a knife that is not there',
      args: () => [
        '--plan',
        planFile((plan) => ({ ...plan, boards: [{ ...board, cut: 'hand', knives: ['9'] }] })),
      ],
      says: /board F1 it has a knife 9/,
    },
    {
      what: 'a place beside the block',
      args: () => ['--plan', planFile((plan) => ({ ...plan, boards: [{ ...board, x: [700] }] }))],
      says: /x 700 mm, and the block is 520 mm long/,
    },
    {
      what: 'a plan without boards',
      args: () => ['--plan', planFile((plan) => ({ ...plan, boards: [] }))],
      says: /no board/,
    },
    {
      what: 'what is no plan',
      args: () => ['--plan', join(root, MACHINE)],
      says: /machine\.toml: error: .*JSON/,
    },
    {
      what: 'a plan that is not there',
      args: () => ['--plan', 'none.json'],
      says: /cannot read none\.json/,
    },
    {
      what: 'a plan and what makes one',
      args: () => ['--plan', 'plan.json', '--stations', '5'],
      says: /'--plan <plan\.json>' cannot be used with option '--stations/,
    },
    { what: 'no number of stations', args: () => ['--stations', 'many'], says: /whole number/ },
  ])('$what', ({ args, says }) => {
    const folder = temporaryFolder();
    const run = proofboard(['sheet', join(root, MACHINE), ...args()], { cwd: folder });
    expect(run).toMatchObject({ code: 2, stdout: '', stderr: expect.stringMatching(says) });
    expect(readdirSync(folder)).toEqual([]);
  });

  test('a file that stands there already, until --force', () => {
    const folder = temporaryFolder();
    for (const name of ['sheet.csv', 'sheet.html']) {
      const [file] = written(folder, { [name]: 'mine' });
      const run = proofboard(['sheet', MACHINE, '--out', file!]);
      expect(run).toMatchObject({ code: 2, stderr: expect.stringContaining('--force') });
      expect(readFileSync(file!, 'utf8')).toBe('mine');
      expect(proofboard(['sheet', MACHINE, '--out', file!, '--force']).code).toBe(0);
      expect(readFileSync(file!, 'utf8')).not.toBe('mine');
    }
  });

  test('with --json the document still comes, with its notices and nothing else', () => {
    const run = proofboard(['sheet', MACHINE, '--out', 'x.pdf', '--json']);
    expect(run.code).toBe(2);
    const { schema, notices, ...rest } = jsonOf(run);
    expect([schema, rest]).toEqual(['proofboard/sheet@1', {}]);
    for (const notice of notices) expect(v.safeParse(noticeShape, notice).success).toBe(true);
    expect(existsSync(join(root, 'x.pdf'))).toBe(false);
  });
});
