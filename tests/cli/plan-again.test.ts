import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { measuredFor, rowsOf } from './enter-shop.js';
import { BOARDS, jsonOf, MACHINE, proofboard, root, STRIPS, temporaryFolder } from './program.js';

/** What a notice or a board is asked for here. */
interface Coded {
  readonly code: string;
  readonly message: string;
}

interface Board {
  readonly board: string;
  readonly cut: string;
  readonly x: readonly number[];
  readonly again?: true;
}

function codesOf({ notices }: { notices: readonly Coded[] }): string[] {
  return notices.map(({ code }) => code);
}

/** A copy of a machine file of the fixtures, with one line of it changed. */
function machineWith(folder: string, name: string, line: RegExp, instead: string): string {
  const text = readFileSync(join(root, name), 'utf8');
  if (!line.test(text)) throw new Error(`${name} has no such line`);
  const path = join(folder, 'machine.toml');
  writeFileSync(path, text.replace(line, instead));
  return path;
}

/** The demonstration's boards on a machine whose tolerance leaves ends undecided. */
function undecided() {
  const folder = temporaryFolder();
  const machine = machineWith(folder, MACHINE, /^knife = 0\.05$/m, 'knife = 0.025');
  const result = join(folder, 'result.json');
  expect(proofboard(['analyse', machine, BOARDS, '--out', result]).code).not.toBe(2);
  return { folder, machine, result };
}

/** The demonstration's readings by board, knife, x and y. */
function demoReadings(): ReadonlyMap<string, string> {
  const rows = rowsOf(join(root, BOARDS));
  return new Map(
    rows.map(([board, knife, x, y, thickness]) => [at(board, knife, x, y), thickness!]),
  );
}

function at(...place: readonly (string | undefined)[]): string {
  return place.join(' ');
}

/** A sheet of places measured again, each filled in with what was read there the first time. */
function readAlike(sheet: string): string {
  const first = demoReadings();
  const lines = sheet.split('\n').map((line) => {
    if (line === '' || line.startsWith('#') || line.startsWith('board,')) return line;
    const [board, knife, cut, repeat, x, y] = line.split(',');
    const thickness = first.get(at(board, knife, x, y));
    if (thickness === undefined) throw new Error(`never measured: ${line}`);
    return [board, knife, cut, repeat, x, y, thickness, ''].join(',');
  });
  return lines.join('\n');
}

describe('places that are measured again', () => {
  test('say so in the sheet, with --result and with the plan made of it', () => {
    const { folder, machine, result } = undecided();
    const plan = join(folder, 'plan.json');
    const planned = proofboard(['plan', machine, '--result', result, '--out', plan, '--json']);
    const { boards, readings } = jsonOf(planned);
    expect(boards.some(({ again }: Board) => again)).toBe(true);
    const sheet = proofboard(['sheet', machine, '--result', result]).stdout;
    expect(proofboard(['sheet', machine, '--plan', plan]).stdout).toBe(sheet);
    expect(sheet).toContain('\nboard,knife,cut,repeat,x (mm)');
    const rows = sheet.split('\n').filter((line) => /^[A-Z]\d/.test(line));
    expect(rows).toHaveLength(readings);
    const measured = new Set(rowsOf(join(root, BOARDS)).map(([board]) => board));
    for (const row of rows) {
      const [board, , , repeat] = row.split(',');
      expect(repeat).toBe(measured.has(board) ? 'again' : '');
    }
  });

  test('count as second readings, not as rows pasted twice, even where they read the same', () => {
    const { folder, machine, result } = undecided();
    const again = join(folder, 'again.csv');
    writeFileSync(again, readAlike(proofboard(['sheet', machine, '--result', result]).stdout));
    const first = jsonOf(proofboard(['analyse', machine, BOARDS, '--json']));
    const run = proofboard(['analyse', machine, BOARDS, again, '--json']);
    const both = jsonOf(run);
    expect(codesOf(both)).not.toContain('row-twice');
    expect(run.stderr).not.toContain('twice');
    expect(both.readings.total).toBe(first.readings.total + rowsOf(again).length);
    // Without the column they would be: that is what it is there for.
    const bare = join(folder, 'bare.csv');
    writeFileSync(bare, readFileSync(again, 'utf8').replaceAll(',again,', ',,'));
    expect(proofboard(['analyse', machine, BOARDS, bare]).stderr).toContain('pasted twice');
  });

  test('for a third time are told from the second', () => {
    const { folder, machine, result } = undecided();
    const [again, third, then] = ['again.csv', 'third.csv', 'then.json'].map((name) =>
      join(folder, name),
    ) as [string, string, string];
    writeFileSync(again, readAlike(proofboard(['sheet', machine, '--result', result]).stdout));
    proofboard(['analyse', machine, BOARDS, again, '--out', then]);
    writeFileSync(third, readAlike(proofboard(['sheet', machine, '--result', then]).stdout));
    const rows = rowsOf(third).map((row) => row.join(','));
    expect(rows.length).toBeGreaterThan(0);
    expect(rows.filter((row, i) => rows.indexOf(row) !== i)).toEqual([]);
    const run = proofboard(['analyse', machine, BOARDS, again, third]);
    expect(run.stderr).not.toContain('pasted twice');
  });

  test('can be keyed in by the plan, which asks for them and no others', () => {
    const { folder, machine, result } = undecided();
    const out = join(folder, 'again.csv');
    const run = proofboard(['enter', machine, '--result', result, '--out', out]);
    expect(run.code).toBe(3);
    expect(readFileSync(out, 'utf8')).toBe(
      proofboard(['sheet', machine, '--result', result]).stdout,
    );
  });
});

describe('what was measured is built on', () => {
  /** Two strips under power and one of the five that were cut by hand. */
  function oneStrip() {
    const folder = temporaryFolder();
    const [hand, result] = [join(folder, 'hand.csv'), join(folder, 'first.json')];
    const lines = readFileSync(join(root, BOARDS), 'utf8').split('\n');
    writeFileSync(hand, `${lines.filter((line) => /^(board|H1),/.test(line)).join('\n')}\n`);
    expect(proofboard(['analyse', MACHINE, STRIPS, hand, '--out', result]).code).toBe(3);
    return { hand, result };
  }

  test('after one strip others are planned elsewhere, and not all that a start would take', () => {
    const { hand, result } = oneStrip();
    const run = proofboard(['plan', MACHINE, '--result', result, '--json']);
    expect(run.code).toBe(0);
    const plan = jsonOf(run);
    expect(plan.readings).toBeGreaterThan(0);
    expect(plan.readings).toBeLessThan(30);
    expect(codesOf(plan)).not.toContain('starts-afresh');
    expect(plan.earlierFiles).toEqual([STRIPS, hand]);
    const strips = plan.boards.filter(({ cut, again }: Board) => cut === 'hand' && !again);
    expect(strips.length).toBeGreaterThan(0);
    for (const { board, x } of strips) {
      expect(['S1', 'S2', 'H1']).not.toContain(board);
      expect(x).not.toContain(40);
    }
    expect(plan.expected.knifeEndU).toBeLessThan(0.0125);
  });

  test('unless stations or rounds are asked for: then it starts as if nothing were measured, and says so', () => {
    const { result } = oneStrip();
    for (const asked of [
      ['--stations', '5'],
      ['--repeats', '3'],
    ]) {
      const line = ['plan', MACHINE, ...asked, '--result', result];
      expect(proofboard(line).stdout.replaceAll(/\s+/g, ' ')).toContain(
        'these boards are planned as if nothing were measured yet. Leave --stations, --repeats and --cuts out',
      );
      const plan = jsonOf(proofboard([...line, '--json']));
      expect(codesOf(plan)).toContain('starts-afresh');
      expect(plan.readings).toBeGreaterThan(30);
      expect(plan.boards.some(({ again }: Board) => again)).toBe(false);
      expect(plan.boards.map(({ board }: Board) => board)).not.toContain('H1');
    }
  });
});

const PROJECTING = 'fixtures/machines/thicknesser.toml';

test.each([[], ['--cuts', 'full,hand'], ['--stations', '3']])(
  'a machine whose knife stands out too far is not run for a test %s',
  (...rest) => {
    const folder = temporaryFolder();
    const machine = machineWith(folder, PROJECTING, /value = 0\.9/, 'value = 1.3');
    const text = proofboard(['plan', machine, ...rest]).stdout;
    const [first] = text.split('\n\n');
    expect(first!.replaceAll(/\s+/g, ' ')).toMatch(/^Do not run this machine as it is: .*1\.3/);
    const plan = jsonOf(proofboard(['plan', machine, ...rest, '--json']));
    expect(plan.boards.length).toBeGreaterThan(0);
    expect(plan.boards.filter(({ cut }: Board) => cut !== 'hand')).toEqual([]);
    expect(codesOf(plan)).toEqual(expect.arrayContaining(['over-projection', 'not-under-power']));
    // The same machine with its knife set down is planned for as any other.
    const safe = jsonOf(proofboard(['plan', PROJECTING, ...rest, '--json']));
    expect(codesOf(safe)).not.toContain('not-under-power');
    expect(safe.boards.map(({ cut }: Board) => cut)).toContain('full');
  },
);

test('of such a machine nothing is planed for a test either where the block cannot be turned', () => {
  const machine = machineWith(temporaryFolder(), PROJECTING, /value = 0\.9/, 'value = 1.3');
  const text = proofboard(['plan', machine]).stdout.replaceAll(/\s+/g, ' ');
  expect(text).not.toMatch(/plane one board under power|strips planed under power/);
});

test('a smaller plan can still see faults, costs less, tells less, and is what its options make', () => {
  const plan = jsonOf(proofboard(['plan', MACHINE, '--json']));
  const { stations, repeats, readings, minutes, knifeEndU } = plan.smaller;
  expect(stations).toBeGreaterThanOrEqual(4);
  expect(repeats).toBeGreaterThanOrEqual(2);
  expect(readings).toBeLessThan(plan.readings);
  expect(minutes).toBeLessThan(plan.minutes);
  expect(knifeEndU).toBeGreaterThan(plan.expected.knifeEndU);
  const options = ['--stations', String(stations), '--repeats', String(repeats)];
  const made = jsonOf(proofboard(['plan', MACHINE, ...options, '--json']));
  expect(made).toMatchObject({ readings, minutes });
  expect(made.expected.knifeEndU).toBeCloseTo(knifeEndU, 9);
  expect(codesOf(made)).not.toContain('faults-hidden');
  const text = proofboard(['plan', MACHINE]).stdout.replaceAll(/\s+/g, ' ');
  expect(text).toContain(`In a hurry: ${options.join(' ')} asks for ${readings} readings`);
});

test('the smallest plan offers no smaller one', () => {
  for (const rest of [[], ['--cuts', 'hand']]) {
    const line = ['plan', MACHINE, '--stations', '4', '--repeats', '2', ...rest];
    expect(jsonOf(proofboard([...line, '--json'])).smaller).toBeNull();
    expect(proofboard(line).stdout).not.toContain('In a hurry');
  }
});

describe('boards under power at one height and scoops at another', () => {
  const KEPT = 'questioned and kept';

  /** Every place read as on an invented machine, full boards about 19.1 mm and scoops about a level. */
  function readAt(level: number, seed: number) {
    const out = join(temporaryFolder(), 'readings.csv');
    expect(proofboard(['enter', MACHINE, '--out', out]).code).toBe(3);
    const rows = rowsOf(out);
    const { readings } = measuredFor(out, seed);
    const isFull = rows.map(([, knife]) => knife === 'all');
    const mean = (full: boolean) => {
      const own = readings.filter((_, i) => isFull[i] === full).map(Number);
      return own.reduce((sum, each) => sum + each, 0) / own.length;
    };
    const shift = { full: 19.1 - mean(true), hand: level - mean(false) };
    const moved = readings.map((text, i) =>
      (Number(text) + (isFull[i] ? shift.full : shift.hand)).toFixed(2),
    );
    return { out, readings: moved, firstByHand: isFull.indexOf(false) };
  }

  const keyedIn = (out: string, lines: readonly string[]) =>
    proofboard(['enter', MACHINE, '--out', out], {
      input: lines.map((line) => `${line}\n`).join(''),
    });

  test.each([
    [20, 3],
    [20.8, 4],
    [22.5, 5],
    [25, 6],
  ])('scoops at %d mm are not questioned', (level, seed) => {
    const { out, readings } = readAt(level, seed);
    const run = keyedIn(out, readings);
    expect(run.stdout).not.toContain('Questioned');
    expect(run.code).toBe(0);
    expect(readFileSync(out, 'utf8')).not.toContain(KEPT);
    expect(rowsOf(out).map((row) => row[5])).toEqual(readings);
  });

  test('but a scoop that disagrees with the others still is', () => {
    const { out, readings, firstByHand } = readAt(22.5, 5);
    const at = firstByHand + 14;
    const wrong = (Number(readings[at]) + 0.5).toFixed(2);
    const run = keyedIn(out, [...readings.slice(0, at), wrong, 'keep', ...readings.slice(at + 1)]);
    expect(run.stdout).toContain('Questioned');
    expect(rowsOf(out)[at]!.slice(5)).toEqual([wrong, KEPT]);
  });
});

test('nor is a wide board planed for the tilt that a result leaves open', () => {
  const folder = temporaryFolder();
  // Strips by hand alone, and a lock of unknown worth: only a board planed right across tells the tilt.
  const hand = join(folder, 'hand.csv');
  const lines = readFileSync(join(root, BOARDS), 'utf8').split('\n');
  writeFileSync(hand, lines.filter((line) => !line.startsWith('F1,')).join('\n'));
  const loose = machineWith(
    folder,
    PROJECTING,
    /repeatability = 0\.005/,
    'repeatability = "unknown"',
  );
  const result = join(folder, 'result.json');
  expect(proofboard(['analyse', loose, hand, '--out', result]).code).toBe(3);
  const planed = () =>
    (jsonOf(proofboard(['plan', loose, '--result', result, '--json'])).boards as Board[]).filter(
      ({ cut }) => cut !== 'hand',
    );
  expect(planed().map(({ x }) => x.length)).toEqual([3]);
  writeFileSync(loose, readFileSync(loose, 'utf8').replace('value = 0.9', 'value = 1.3'));
  expect(planed()).toEqual([]);
});
