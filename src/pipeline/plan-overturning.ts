import { dot } from '../fit/decomposition.js';
import { normalQuantile } from '../fit/distributions.js';
import { initialSd } from '../fit/problem.js';
import type { Machine } from '../machine/machine.js';
import { offset } from '../model/quantities.js';
import type { Notice } from '../notices/notice.js';
import type { Overturning } from '../record/plan.js';
import type { Fitted, Move, Result } from '../record/result.js';
import { type Foretelling, foretell } from './foretell.js';
import { type MeasuredBefore, readingOf } from './measured-before.js';

/** One-sided 95 % of a normal: so many u within its limit, an end counts as inside. */
const SURELY = normalQuantile(0.95);

/**
 * For each move at a knife's end the reading on which it hangs most: the one that would have to be
 * wrong by least for that end to be inside tolerance as it stands. Empty where some knife is unknown.
 */
export function overturningReadings(
  machine: Machine,
  result: Result,
  before: MeasuredBefore,
): Overturning[] {
  if (result.moves.length === 0 || !before.heights) return [];
  const foretelling = foretell(before.machine, before.places, undefined, before.heights);
  return result.moves.flatMap((move) => {
    const found = overturning(machine, result, foretelling, move);
    return found ? [found] : [];
  });
}

/** What is to be said of moves that no single reading stands behind. */
export function unlistedMoves({ moves }: Result, listed: number): Notice[] {
  if (listed === 0 || listed === moves.length) return [];
  return [
    {
      code: 'moves-not-listed',
      severity: 'info',
      message: `of ${moves.length} moves ${listed} hang on readings of their own end; the others are of ends that are inside by themselves and are moved for the sake of the rest, or of adjusters between the ends, which follow from these`,
    },
  ];
}

function overturning(
  machine: Machine,
  result: Result,
  foretelling: Foretelling,
  { knife, end, x }: Move,
): Overturning | null {
  const standing = result.knives.find(({ id }) => id === knife)?.ends.find((each) => each.x === x);
  if (end === null || standing?.offset == null || standing.u === null) return null;
  const { offset: value, u } = standing;
  const beyond = Math.abs(value) - machine.tolerance.knife + SURELY * u;
  // A move of an end that is inside by itself serves the others: no reading makes it needless.
  if (beyond <= 0) return null;
  const pulls = pullsOf(machine, foretelling, knife, x);
  const change = -Math.sign(value) * beyond;
  let best: { fitted: Fitted; wrongBy: number } | null = null;
  for (const fitted of result.fitted) {
    const pull = pulls(fitted);
    if (pull === 0) continue;
    const wrongBy = -change / pull;
    // Of readings of one place the one that already strays that way is the likelier to be wrong.
    const strays = (each: Fitted) => each.residual * Math.sign(wrongBy);
    const isCloser = !best || Math.abs(wrongBy) < Math.abs(best.wrongBy) * (1 - 1e-9);
    const isSame = best && Math.abs(Math.abs(wrongBy) / Math.abs(best.wrongBy) - 1) <= 1e-9;
    if (isCloser || (isSame && strays(fitted) > strays(best!.fitted))) best = { fitted, wrongBy };
  }
  if (!best) return null;
  const { file, line, board, knife: read, x: at, y, thickness } = best.fitted;
  return { knife, end, file, line, board, read, x: at, y, thickness, wrongBy: best.wrongBy };
}

/** By how much an offset changes for each mm that one reading of a place changes. */
function pullsOf(
  machine: Machine,
  { boards }: Foretelling,
  knife: string,
  x: number,
): (fitted: Fitted) => number {
  const { model, problem, robust, noises } = boards;
  const { decomposition, parameters } = robust.fit;
  const all = machine.block.knives.map((_, index) => index);
  const asked = offset(model.layout, all, machine.block.knives.indexOf(knife), x);
  const factor = decomposition.factor(asked);
  const sd = initialSd(noises[0]!);
  const pulls = model.readings.map((_, index) => {
    const own = decomposition.factor(problem.gradient(parameters, index));
    return dot(factor, own) / sd ** 2;
  });
  return (fitted) => {
    const { board, knife: read, cut, setting, x: at } = readingOf(fitted);
    const place = model.readings.findIndex(
      (each) =>
        each.board === board &&
        each.knife === read &&
        each.cut === cut &&
        each.setting === setting &&
        each.x === at,
    );
    return pulls[place] ?? 0;
  };
}
