import type { Machine } from '../machine/machine.js';
import { spanOf, straightAt } from '../model/coordinates.js';
import type { Standing } from './standing.js';

/**
 * How far a knife may be raised at x before it projects further from the block's body than the
 * machine file allows; negative where it already does, Infinity where no limit is given. The one
 * measured projection carries over to every other edge by the difference of their offsets, taking
 * the mean of the knives to run parallel to the block's body. Every knife has to be known.
 */
export function roomToRaise(
  machine: Machine,
  standing: Standing,
): (knife: number, x: number) => number {
  const { maxProjection, projection, knives } = machine.block;
  if (maxProjection === null || projection === null) return () => Infinity;
  const span = spanOf(machine);
  const offsetAt = (knife: number, x: number) => {
    const [front, back] = standing.offsets[knife]!;
    return straightAt(span, x, front!.value, back!.value);
  };
  const reference = offsetAt(knives.indexOf(projection.knife), projection.x);
  return (knife, x) => maxProjection - (projection.value + offsetAt(knife, x) - reference);
}
