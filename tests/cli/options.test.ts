import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { contractFaults } from './contract.js';
import { BOARDS, jsonOf, MACHINE, proofboard, RERUN, root } from './program.js';

const OWNER = { finestTurn: 1 / 16, raisedBy: 'anticlockwise' } as const;
const TOLERANCE = 0.05;

interface End {
  readonly offset: number;
}

function analysed(...options: string[]) {
  const run = proofboard(['analyse', MACHINE, BOARDS, '--json', ...options]);
  return { ...run, result: jsonOf(run) };
}

function withoutDate(result: Record<string, unknown>) {
  return { ...result, date: null };
}

describe('--target', () => {
  const plain = analysed().result;

  test('mean is the default', () => {
    const { result } = analysed('--target', 'mean');
    expect(withoutDate(result)).toEqual(withoutDate(plain));
    expect(result.target.name).toBe('mean');
  });

  test.each(['bed', 'highest', 'lowest', '1', '2', '3', '4'])(
    '%s leaves what was measured as it is, and its moves bring every knife inside',
    (name) => {
      const { code, result } = analysed('--target', name);
      expect(code).toBe(0);
      expect(contractFaults(result, OWNER)).toEqual([]);
      expect(result.target.name).toBe(name);
      expect([result.knives, result.bed, result.board]).toEqual([
        plain.knives,
        plain.bed,
        plain.board,
      ]);
      expect(result.expected.worstEnd).toBeLessThan(TOLERANCE);
      expect(result.expected.probabilityInside).toBeGreaterThanOrEqual(0.95);
    },
  );

  test.each(['1', '2', '3', '4'])('knife %s stays untouched when it is the target', (name) => {
    const { result } = analysed('--target', name);
    expect(result.moves.filter(({ knife }: { knife: string }) => knife === name)).toEqual([]);
  });

  test('highest only raises, lowest only lowers', () => {
    const lifts = (name: string): number[] =>
      analysed('--target', name).result.moves.map(({ lift }: { lift: number }) => lift);
    expect(lifts('highest').length).toBeGreaterThan(0);
    expect(lifts('highest').filter((lift) => lift < 0)).toEqual([]);
    expect(lifts('lowest').length).toBeGreaterThan(0);
    expect(lifts('lowest').filter((lift) => lift > 0)).toEqual([]);
  });

  test('bed ends with the bed inside too, and with no more tilt than the mean', () => {
    const { result } = analysed('--target', 'bed');
    expect(Math.abs(result.expected.bedTilt)).toBeLessThan(0.1);
    expect(Math.abs(result.expected.bedTilt)).toBeLessThanOrEqual(
      Math.abs(plain.expected.bedTilt) + 1e-12,
    );
  });
});

describe('--unit is for people alone', () => {
  test('the JSON stays in mm', () => {
    const inches = analysed('--unit', 'in').result;
    expect(withoutDate(inches)).toEqual(withoutDate(analysed().result));
  });

  test.each([
    ['analyse', MACHINE, BOARDS],
    ['confirm', MACHINE, RERUN],
  ])('%s tells in inches, nothing in mm', (...line) => {
    const { stdout } = proofboard([...line, '--unit', 'in']);
    expect(stdout).toMatch(/\d in\b/);
    const metric = stdout
      .replaceAll(/\s+/g, ' ')
      .match(/.{30}\d (mm|µm)\b(?! misread on the scale).{30}/g);
    expect(metric ?? []).toEqual([]);
  });

  test('read shows a machine in inches', () => {
    const { stdout } = proofboard(['read', MACHINE, '--unit', 'in']);
    expect(stdout).toContain('4.7244 in');
    expect(stdout).not.toMatch(/\d mm\b/);
  });
});

describe('--exclude and --use', () => {
  const at = (line: number) => `${BOARDS}:${line}`;

  test('--exclude leaves a reading out and says so', () => {
    const { code, result, stderr } = analysed('--exclude', at(10), '--exclude', at(53));
    expect(code).toBe(0);
    expect(contractFaults(result, OWNER)).toEqual([]);
    const left = result.readings.setAside.map(
      ({ line, reason }: { line: number; reason: string }) => [line, reason],
    );
    expect(left).toContainEqual([10, 'excluded']);
    expect(left).toContainEqual([53, 'excluded']);
    expect(left).toContainEqual([69, 'misread']);
    expect(result.readings).toMatchObject({ total: 100, used: 97 });
    expect(result.fitted.map(({ line }: { line: number }) => line)).not.toContain(10);
    expect(stderr).not.toContain(`${at(53)}: warning`);
  });

  test('a reading that nothing else predicts has no residual', () => {
    const lines = readFileSync(join(root, BOARDS), 'utf8').split('\n');
    const ofKnife4 = lines.flatMap((line, i) => (/^H\d,4,/.test(line) ? [at(i + 1)] : []));
    const { code, result } = analysed(...ofKnife4.flatMap((place) => ['--exclude', place]));
    expect(ofKnife4).toHaveLength(20);
    expect(code).toBe(3);
    const residuals = result.readings.setAside
      .filter(({ knife }: { knife: string }) => knife === '4')
      .map(({ residual }: { residual: number | null }) => residual);
    expect(residuals).toEqual(ofKnife4.map(() => null));
  });

  test('a place may be given twice', () => {
    const { result } = analysed('--exclude', at(10), '--exclude', at(10));
    expect(result.readings.used).toBe(97);
  });

  test('--use keeps a reading that would be set aside, and records it', () => {
    const { result } = analysed('--use', at(69));
    expect(contractFaults(result, OWNER)).toEqual([]);
    expect(result.readings.setAside.map(({ line }: { line: number }) => line)).toEqual([53]);
    expect(result.fitted.map(({ line }: { line: number }) => line)).toContain(69);
    expect(JSON.stringify(result)).toMatch(/"insistedOn":\[\{[^\]]*"line":69/);
    const [plain, kept] = [analysed().result, result].map(({ knives }) => knives[1].ends[1] as End);
    expect(kept!.offset).toBeLessThan(plain!.offset - 0.005);
  });

  test('--use of a reading that is kept anyhow changes nothing but the record', () => {
    const offsets = (result: { knives: unknown }) => result.knives;
    expect(offsets(analysed('--use', at(10)).result)).toEqual(offsets(analysed().result));
  });

  test.each([
    { place: at(1), why: 'a comment' },
    { place: at(3), why: 'the header' },
    { place: at(104), why: 'beyond the end' },
    { place: 'boards.csv:10', why: 'a name that was not given' },
    { place: `${MACHINE}:10`, why: 'the machine file' },
  ])('$place holds no reading: $why', ({ place }) => {
    for (const option of ['--exclude', '--use']) {
      const { code, result, stderr } = analysed(option, place);
      expect(code).toBe(2);
      expect(Object.keys(result).sort()).toEqual(['notices', 'schema']);
      expect(stderr).toContain(place);
    }
  });

  test('the same place excluded and used is refused', () => {
    expect(analysed('--exclude', at(10), '--use', at(10)).code).toBe(2);
  });

  test('readings of standard input are named by -', () => {
    const run = proofboard(['analyse', MACHINE, '-', '--json', '--exclude', '-:53'], {
      input: readFileSync(join(root, BOARDS)),
    });
    expect(run.code).toBe(0);
    expect(jsonOf(run).readings.setAside).toContainEqual(
      expect.objectContaining({ file: '-', line: 53, reason: 'excluded' }),
    );
  });
});
