import type { Layout } from './layout.js';
import { difference } from './quantities.js';

/**
 * The largest group of at least two knives whose heights can be compared with each other at both
 * outer adjusters; the first such group where several are as large; empty where there is none.
 *
 * @param isCandidate whether a knife has readings of its own
 * @param determines whether the rows determine a combination of parameters
 */
export function comparableKnives(
  layout: Layout,
  isCandidate: (knife: number) => boolean,
  determines: (combination: Float64Array) => boolean,
): number[] {
  const { front, back } = layout.span;
  const groups: number[][] = [];
  layout.knives.forEach((_, knife) => {
    if (!isCandidate(knife)) return;
    const home = groups.find((group) =>
      [front, back].every((x) => determines(difference(layout, knife, group[0]!, x))),
    );
    if (home) home.push(knife);
    else groups.push([knife]);
  });
  const largest = groups.reduce((best, group) => (group.length > best.length ? group : best), [0]);
  return largest.length >= 2 ? largest : [];
}
