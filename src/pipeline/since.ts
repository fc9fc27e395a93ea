import type { Notice } from '../notices/notice.js';
import type { Move, Result, Since } from '../record/result.js';

/**
 * What each move of an earlier result did: how much that end rose against the knives not moved
 * there. Offsets are from the mean of the knives, and the mean moves too, so only the difference to
 * knives that stayed where they were can be told.
 *
 * @param file the earlier result's name, for the notice when it is of another machine
 */
export function sinceMoves(
  before: Result,
  after: Result,
  file: string,
): { readonly since: readonly Since[]; readonly notices: readonly Notice[] } {
  const other = otherMachine(before, after);
  if (other) {
    const notice: Notice = {
      code: 'result-of-another-machine',
      severity: 'error',
      message: `this result is of another machine: ${other}`,
      file,
      hint: 'give the result of the same machine file, before its screws were turned',
    };
    return { since: [], notices: [notice] };
  }
  return { since: before.moves.map((move) => sinceMove(before, after, move)), notices: [] };
}

function otherMachine(before: Result, after: Result): string | null {
  if (before.machine.name !== after.machine.name) {
    return `${before.machine.name}, not ${after.machine.name}`;
  }
  if (before.machine.knives.join('\n') !== after.machine.knives.join('\n')) {
    return `its knives are ${before.machine.knives.join(', ')}, not ${after.machine.knives.join(', ')}`;
  }
  const places = (result: Result) => result.knives[0]!.ends.map(({ x }) => x.toFixed(3)).join(', ');
  if (places(before) !== places(after)) {
    return `its outer adjusters are at x ${places(before)}, not ${places(after)}`;
  }
  return null;
}

function sinceMove(before: Result, after: Result, { knife, end, x, lift }: Move): Since {
  const nothing = { knife, end, x, asked: lift, got: null, u: null, response: null };
  const endIndex = before.knives[0]!.ends.findIndex((each) => Math.abs(each.x - x) < 1e-6);
  if (endIndex < 0) return nothing;
  const moved = new Set(before.moves.filter((move) => move.x === x).map((move) => move.knife));
  const stayed = before.machine.knives.filter((id) => !moved.has(id));
  if (stayed.length === 0) return nothing;
  const weights = new Map(stayed.map((id) => [id, -1 / stayed.length]));
  weights.set(knife, 1);
  const [then, now] = [before, after].map((result) => contrast(result, weights, endIndex));
  if (!then || !now) return nothing;
  const got = now.value - then.value;
  return {
    ...nothing,
    got,
    u: Math.sqrt(then.variance + now.variance),
    response: lift === 0 ? null : got / lift,
  };
}

/** A weighted sum of offsets at one end with its variance; null where one of them is not known. */
function contrast(
  result: Result,
  weights: ReadonlyMap<string, number>,
  endIndex: number,
): { readonly value: number; readonly variance: number } | null {
  let value = 0;
  const shares = new Map<number, number>();
  for (const [id, weight] of weights) {
    const end = result.knives.find((knife) => knife.id === id)?.ends[endIndex];
    if (!end || end.offset === null) return null;
    value += weight * end.offset;
    shares.set(result.covariance.of.indexOf(`${id} ${end.name}`), weight);
  }
  let variance = 0;
  for (const [i, a] of shares) {
    for (const [j, b] of shares)
      variance += a * b * (result.covariance.matrix[i]?.[j] ?? Number.NaN);
  }
  return Number.isFinite(variance) ? { value, variance: Math.max(0, variance) } : null;
}
