import { dot } from '../fit/decomposition.js';
import { chiSquareCdf } from '../fit/distributions.js';
import type { Estimate } from '../fit/estimate.js';
import type { TestCutModel } from '../model/test-cut.js';

/** Boards differ in height more than the lock allows when chance would do so this seldom. */
const WORSE_BELOW = 0.001;

/**
 * Whether boards sat at heights that differ more than the bed's repeatability allows, and by how
 * much: the standard deviation found, mm; null where boards do not repeat or nothing is amiss.
 *
 * @param repeatability standard deviation that the fit assumed, mm
 */
export function foundRepeatability(
  model: TestCutModel,
  fit: Estimate,
  repeatability: number | null,
): number | null {
  const { layout } = model;
  if (!repeatability) return null;
  let squares = 0;
  let openness = 0;
  layout.boards.forEach((_, board) => {
    const combination = new Float64Array(layout.size);
    combination[layout.at.board + board] = 1;
    const factor = fit.decomposition.factor(combination);
    squares += fit.parameters[layout.at.board + board]! ** 2;
    // What the readings could tell of this board's height: all of the prior's variance, or none.
    openness += Math.max(0, 1 - dot(factor, factor) / repeatability ** 2);
  });
  if (openness < 0.5) return null;
  const chance = 1 - chiSquareCdf(squares / repeatability ** 2, openness);
  return chance < WORSE_BELOW ? Math.sqrt(squares / openness) : null;
}
