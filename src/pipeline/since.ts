import type { Notice } from '../notices/notice.js';
import type { Move, Result, Since } from '../record/result.js';
import { endsOf, otherMachine } from './other-machine.js';
import { type Share, varianceOf } from './result-variance.js';

const WRONG_WAY = 'moved-the-other-way';

export interface SinceMoves {
  readonly since: readonly Since[];
  readonly notices: readonly Notice[];
  /** Whether further moves would be a danger: one went the other way than asked. */
  readonly withhold: boolean;
}

/**
 * What each move of an earlier result did: how much that end rose against the knives not moved
 * there. Offsets are from the mean of the knives, and the mean moves too, so only the difference to
 * knives that stayed where they were can be told.
 *
 * @param file the earlier result's name, for the notice when it is of another machine
 */
export function sinceMoves(before: Result, after: Result, file: string): SinceMoves {
  const other = otherMachine(
    before,
    { ...after.machine, ends: endsOf(after) },
    file,
    'give the result of the same machine file, before its screws were turned',
  );
  if (other) return { since: [], notices: [other], withhold: false };
  const same = after.files.find(({ sha256 }) =>
    before.files?.some((earlier) => earlier.sha256 === sha256),
  );
  const since = before.moves.map((move) => sinceMove(before, after, move));
  const notices = [...(same ? [sameReadings(same.name)] : []), ...since.flatMap(amiss)];
  return { since, notices, withhold: notices.some(({ code }) => code === WRONG_WAY) };
}

function sameReadings(file: string): Notice {
  return {
    code: 'same-readings',
    severity: 'warning',
    message: 'these are readings that the earlier result was made from, not a rerun',
    file,
    hint: 'cut and measure test boards again after the screws were turned, and give those readings',
  };
}

/** Moves this little of what was asked, beyond doubt, did not take. */
const HARDLY = 0.5;

/** A move that went the wrong way, or hardly at all: the next one must not be a guess. */
function amiss({ knife, end, x, asked, got, u }: Since): Notice[] {
  if (got === null || u === null || asked === 0) return [];
  const where = `knife ${knife}, ${end ?? `x ${x}`}`;
  const along = got * Math.sign(asked);
  if (along + 2 * u < 0) {
    return [
      {
        code: WRONG_WAY,
        severity: 'warning',
        message: `${where} moved the other way than asked; no moves are proposed`,
        hint: 'do not turn again: check raised_by in the machine file and who turned which screw, with one small trial move',
      },
    ];
  }
  if (along + 2 * u < HARDLY * Math.abs(asked)) {
    return [
      {
        code: 'moved-too-little',
        severity: 'warning',
        message: `${where} moved far less than asked`,
        hint: 'check that its wedge was slack, the knife pressed home, and the thread in the machine file',
      },
    ];
  }
  return [];
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
  const shares = new Map<string, Share>();
  for (const [id, weight] of weights) {
    const end = result.knives.find((knife) => knife.id === id)?.ends[endIndex];
    if (!end || end.offset === null) return null;
    value += weight * end.offset;
    shares.set(`${id} ${end.name}`, { weight, u: end.u ?? 0 });
  }
  return { value, variance: varianceOf(result, shares) };
}
