import { formatLength } from '../units/length.js';
import type { Draft } from './draft.js';
import type { Problem } from './problem.js';
import type { Path } from './toml.js';

/** Positions along the block must ascend, one place once. */
export function checkAscending(at: readonly number[], path: Path): Problem[] {
  return at.flatMap((x, index): Problem[] => {
    const before = at[index - 1];
    if (before === undefined || x > before) return [];
    const message = x === before ? 'stands twice' : 'is less than the one before it';
    return [
      {
        code: 'bad-value',
        path: [...path, index],
        message,
        expected: 'positions from front to back, each once',
      },
    ];
  });
}

/** A position must be on the block, whose ends are x = 0 and its length. */
export function checkOnBlock(x: number, draft: Draft, path: Path): Problem[] {
  const length = draft.block?.length;
  if (x >= 0 && (length === undefined || x <= length)) return [];
  const end = length === undefined ? '' : `, ${formatLength(length, draft.unit ?? 'mm', 3)}`;
  const expected = `from 0 to the block’s length${end}`;
  return [{ code: 'off-block', path, message: 'is off the block', expected }];
}
