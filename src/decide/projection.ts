import type { Machine } from '../machine/machine.js';
import { outerAdjusters } from '../machine/machine.js';
import type { Standing } from './standing.js';

/**
 * How far a knife's end may be raised before it projects further from the block's body than the
 * machine file allows; negative where it already does, Infinity where no limit is given. The one
 * measured projection carries over to every other edge by the difference of their offsets, taking
 * the mean of the knives to run parallel to the block's body.
 */
export function roomToRaise(
  machine: Machine,
  standing: Standing,
): ((knife: number, end: 0 | 1) => number) | null {
  const { maxProjection, projection, knives } = machine.block;
  if (maxProjection === null || projection === null) return () => Infinity;
  const [front, back] = outerAdjusters(machine);
  const reference = standing.offsets[knives.indexOf(projection.knife)]!;
  if (!reference[0] || !reference[1]) return null;
  const share = (projection.x - front) / (back - front);
  const offsetThere = reference[0].value + share * (reference[1].value - reference[0].value);
  return (knife, end) => {
    const offset = standing.offsets[knife]![end];
    if (!offset) return -Infinity;
    return maxProjection - (projection.value + offset.value - offsetThere);
  };
}
