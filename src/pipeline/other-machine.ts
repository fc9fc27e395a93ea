import type { Notice } from '../notices/notice.js';
import type { Result } from '../record/result.js';

/** What a machine is known by. */
export interface MachineIdentity {
  readonly name: string;
  readonly knives: readonly string[];
  /** x of its outer adjusters. */
  readonly ends: readonly number[];
}

/** x of the outer adjusters of a result's machine. */
export function endsOf(result: Result): number[] {
  return result.knives[0]!.ends.map(({ x }) => x);
}

/**
 * An error where an earlier result is of another machine than this one; null where it is not.
 *
 * @param file the result's name
 */
export function otherMachine(
  earlier: Result,
  now: MachineIdentity,
  file: string,
  hint: string,
): Notice | null {
  const difference = differenceOf({ ...earlier.machine, ends: endsOf(earlier) }, now);
  if (difference === null) return null;
  const message = `this result is of another machine: ${difference}`;
  return { code: 'result-of-another-machine', severity: 'error', message, file, hint };
}

function differenceOf(before: MachineIdentity, now: MachineIdentity): string | null {
  if (before.name !== now.name) return `${before.name}, not ${now.name}`;
  if (before.knives.join('\n') !== now.knives.join('\n')) {
    return `its knives are ${before.knives.join(', ')}, not ${now.knives.join(', ')}`;
  }
  const places = ({ ends }: MachineIdentity) => ends.map((x) => x.toFixed(3)).join(', ');
  if (places(before) === places(now)) return null;
  return `its outer adjusters are at x ${places(before)}, not ${places(now)}`;
}
