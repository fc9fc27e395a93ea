import { checkAscending, checkOnBlock } from './check-positions.js';
import type { Draft } from './draft.js';
import type { Problem } from './problem.js';

type AdjustersDraft = NonNullable<Draft['adjusters']>;
type Key = keyof AdjustersDraft;

const SCREW_KEYS: readonly Key[] = [
  'thread',
  'pitch',
  'lift_per_turn',
  'raised_by',
  'finest_turn',
  'turn_sd',
  'approach',
];
const SHIM_KEYS: readonly Key[] = ['stock', 'most'];

/**
 * What the keys of the adjusters ask of one another.
 * @param isThere whether the file has that key, right or wrong
 */
export function checkAdjusters(draft: Draft, isThere: (key: Key) => boolean): Problem[] {
  const { adjusters } = draft;
  if (!adjusters) return [];
  const kind = adjusters.kind ?? (isThere('kind') ? null : 'screw');
  return [
    ...checkAt(adjusters.at, draft),
    ...checkNames(adjusters.names),
    ...(kind === 'screw' ? [...foreign('screw', SHIM_KEYS, isThere), ...checkScrew(isThere)] : []),
    ...(kind === 'shim'
      ? [...foreign('shim', SCREW_KEYS, isThere), ...checkShim(adjusters, isThere)]
      : []),
  ];
}

function problem(key: Key, code: string, message: string, expected?: string): Problem {
  const path = ['adjusters', key];
  const atKey = code === 'missing-key' || code === 'wrong-kind';
  return { code, path, message, atKey, ...(expected === undefined ? {} : { expected }) };
}

function checkAt(at: readonly number[] | undefined, draft: Draft): Problem[] {
  if (!at) return [];
  const path = ['adjusters', 'at'];
  if (at.length < 2) {
    return [
      problem(
        'at',
        'bad-value',
        `has ${at.length === 1 ? 'one position' : 'no position'}`,
        'two or more positions',
      ),
    ];
  }
  return [
    ...checkAscending(at, path),
    ...at.flatMap((x, index) => checkOnBlock(x, draft, [...path, index])),
  ];
}

function checkNames(names: readonly string[] | undefined): Problem[] {
  const distinct = new Set(names?.map((name) => name.toLowerCase()));
  if (!names || (names.length === 2 && distinct.size === 2)) return [];
  const expected = 'two different names, that of the end with small x first';
  return [problem('names', 'bad-value', 'does not name the two ends', expected)];
}

function foreign(kind: 'screw' | 'shim', keys: readonly Key[], isThere: (key: Key) => boolean) {
  const other = kind === 'screw' ? 'shim' : 'screw';
  return keys.filter(isThere).map((key): Problem => {
    const hint = `Leave it out, or write kind = "${other}".`;
    const message = `is for kind = "${other}", and this is "${kind}"`;
    return { ...problem(key, 'wrong-kind', message), hint };
  });
}

function checkScrew(isThere: (key: Key) => boolean): Problem[] {
  const problems = (['raised_by', 'finest_turn'] as const)
    .filter((key) => !isThere(key))
    .map((key) => problem(key, 'missing-key', 'is missing: screws need it'));
  if (isThere('thread') && isThere('pitch')) {
    problems.push(problem('pitch', 'bad-value', 'stands beside thread', 'one of the two'));
  }
  if (!isThere('thread') && !isThere('pitch') && !isThere('lift_per_turn')) {
    problems.push(problem('thread', 'missing-key', 'is missing, and so is pitch: one is needed'));
  }
  return problems;
}

function checkShim({ stock }: AdjustersDraft, isThere: (key: Key) => boolean): Problem[] {
  if (!isThere('stock')) return [problem('stock', 'missing-key', 'is missing: shims need it')];
  if (!stock) return [];
  if (stock.length === 0) return [problem('stock', 'bad-value', 'is empty', 'one shim or more')];
  const sizes = stock.map((shim) => (typeof shim === 'number' ? shim : shim.thickness));
  return sizes.flatMap((size, index): Problem[] => {
    if (sizes.indexOf(size) === index) return [];
    const path = ['adjusters', 'stock', index];
    const expected = 'each thickness once, with the count of its pieces';
    return [{ code: 'bad-value', path, message: 'is there already', expected }];
  });
}
