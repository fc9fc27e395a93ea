import { checkAscending } from './check-positions.js';
import type { Draft } from './draft.js';
import type { Problem } from './problem.js';

/**
 * What the keys of the bed ask of one another. Its screws may stand beyond the block.
 * @param isThere whether the bed has that key, right or wrong
 */
export function checkBed({ bed }: Draft, isThere: (key: string) => boolean): Problem[] {
  const problems: Problem[] = checkAscending(bed?.at ?? [], ['bed', 'at']);
  if (bed?.at?.length === 0) {
    const expected = 'the positions of its levelling screws';
    problems.push({ code: 'bad-value', path: ['bed', 'at'], message: 'is empty', expected });
  }
  if (isThere('thread') && isThere('pitch')) {
    const [path, message] = [['bed', 'pitch'], 'stands beside thread'];
    problems.push({ code: 'bad-value', path, message, expected: 'one of the two' });
  }
  if ((isThere('thread') || isThere('pitch')) && !isThere('at')) {
    const message = 'is missing: where the bed’s own levelling screws stand';
    problems.push({ code: 'missing-key', path: ['bed', 'at'], message, atKey: true });
  }
  return problems;
}
