import { probabilityInside, verdict } from '../decide/conformity.js';
import type { Known, Standing } from '../decide/standing.js';
import type { Machine } from '../machine/machine.js';
import type { Foretold } from '../record/plan.js';

/** Heights are taken as likely as each other within so many tolerances of the mean. */
const LIKELY_WITHIN = 2;
const HALVINGS = 60;

/** What boards foretell, in the figures that people ask for. */
export function foretoldOf(machine: Machine, standing: Standing): Foretold {
  const ends = standing.offsets.flat();
  const widest = ends.reduce<Known | null>(
    (most, end) => (end && (!most || end.U > most.U) ? end : most),
    null,
  );
  const isKnown = ends.every((end) => end !== null);
  return {
    knifeEndU: isKnown ? (widest?.U ?? null) : null,
    bedTiltU: standing.tilt?.U ?? null,
    taperU: standing.taper?.U ?? null,
    clearVerdict: isKnown && widest ? clearVerdict(machine.tolerance.knife, widest) : null,
  };
}

/**
 * Probability that an end which may stand anywhere within twice the tolerance gets a verdict: what is
 * left undecided is the belt about the limit in which neither is 95 % sure.
 */
function clearVerdict(tolerance: number, { u, degreesOfFreedom }: Known): number {
  const verdictAt = (value: number) =>
    verdict(probabilityInside(value, -tolerance, tolerance, u, degreesOfFreedom));
  const reach = LIKELY_WITHIN * tolerance;
  const insideUpTo = edge(0, tolerance, (value) => verdictAt(value) === 'inside');
  const outsideFrom = edge(tolerance, tolerance + reach, (value) => verdictAt(value) !== 'outside');
  return Math.max(0, 1 - (outsideFrom - insideUpTo) / reach);
}

/** Up to where something holds that holds at most from `low` on; `low` where it never does. */
function edge(low: number, high: number, holds: (value: number) => boolean): number {
  let [from, to] = [low, high];
  for (let i = 0; i < HALVINGS; i++) {
    const middle = (from + to) / 2;
    if (holds(middle)) from = middle;
    else to = middle;
  }
  return from;
}
