import { dot } from '../fit/decomposition.js';
import { tQuantile } from '../fit/distributions.js';
import { effectiveFreedom } from '../fit/estimate.js';
import type { Machine } from '../machine/machine.js';
import { along } from '../model/layout.js';
import { bedTilt, bow, crown, offset, type Quantity, taper } from '../model/quantities.js';
import type { BoardFit } from './board-fit.js';
import { probabilityInside, type Verdict, verdict } from './conformity.js';
import { type Draws, drawErrors, jointProbability } from './joint.js';

/** A value, its standard uncertainty, and the expanded one for 95 % coverage (JCGM 100:2008, 6). */
export interface Known {
  readonly value: number;
  readonly u: number;
  readonly U: number;
  /** The row of the covariance's factor; two rows' scalar product is their covariance. */
  readonly factor: Float64Array;
  /** Whether it leans on the bed's lock being as repeatable as the machine file says. */
  readonly restsOnBedLock: boolean;
  /** Those of u: what Student's t takes. */
  readonly degreesOfFreedom: number;
}

export interface Standing {
  /** Offset of each knife at the front and at the back outer adjuster; null where not determined. */
  readonly offsets: readonly (readonly [Known | null, Known | null])[];
  /** Offset of each knife in the middle between them, its bow included; null where not determined. */
  readonly middles: readonly (Known | null)[];
  /** How far each knife's middle stands from the line through its ends; null where not determined. */
  readonly bows: readonly (Known | null)[];
  readonly tilt: Known | null;
  readonly crown: Known | null;
  readonly taper: Known | null;
  /** Those of all offsets and the tilt taken together. */
  readonly degreesOfFreedom: number;
}

/** What the fit says of knives, bed and boards, each with its uncertainty, or null. */
export function standingOf(machine: Machine, boards: BoardFit): Standing {
  const { model, group } = boards;
  const { layout } = model;
  const linear = knownOf(boards);
  const isCompared = group.length >= 2;
  const { front, back } = layout.span;
  const offsets = machine.block.knives.map((_, knife): readonly [Known | null, Known | null] => {
    if (!isCompared || !group.includes(knife)) return [null, null];
    const at = (x: number) => linear(offset(layout, group, knife, x));
    return [at(front), at(back)];
  });
  const tilt = isCompared ? linear(bedTilt(layout, group)) : null;
  return {
    offsets,
    middles: machine.block.knives.map((_, knife) =>
      isCompared && layout.bows && group.includes(knife)
        ? linear(offset(layout, group, knife, (front + back) / 2))
        : null,
    ),
    bows: machine.block.knives.map((_, knife) =>
      isCompared && layout.bows && group.includes(knife) ? linear(bow(layout, group, knife)) : null,
    ),
    tilt,
    crown: isCompared && layout.bows ? linear(crown(layout, group)) : null,
    taper: taperOf(boards),
    degreesOfFreedom: commonFreedom([...offsets.flat(), tilt]),
  };
}

/** What a fit says of a combination of its parameters: null where the observations leave it open. */
export function knownOf(boards: BoardFit): (combination: Float64Array) => Known | null {
  const { parameters } = boards.robust.fit;
  const uncertain = uncertainIn(boards);
  return (combination) => uncertain({ combination, value: along(combination, parameters) });
}

function taperOf(boards: BoardFit): Known | null {
  const quantity = taper(boards.model, boards.robust.fit.parameters);
  return quantity && uncertainIn(boards)(quantity);
}

function uncertainIn(boards: BoardFit): (quantity: Quantity) => Known | null {
  const { problem, robust } = boards;
  const { decomposition } = robust.fit;
  const freedomOf = effectiveFreedom(problem, robust.fit);
  return ({ combination, value }) => {
    if (!boards.determines(combination)) return null;
    const factor = decomposition.factor(combination);
    const u = Math.sqrt(dot(factor, factor));
    const degreesOfFreedom = freedomOf(factor);
    return {
      value,
      u,
      U: tQuantile(0.975, degreesOfFreedom) * u,
      factor,
      degreesOfFreedom,
      restsOnBedLock: !boards.determinesWithoutLock(combination),
    };
  };
}

/** One number of degrees of freedom for errors drawn together: that of the variances' sum. */
function commonFreedom(quantities: readonly (Known | null)[]): number {
  let total = 0;
  let weighted = 0;
  for (const known of quantities) {
    if (!known) continue;
    total += known.u ** 2;
    weighted += known.u ** 2 / known.degreesOfFreedom;
  }
  return weighted === 0 ? Infinity : total / weighted;
}

/** Nothing is known: the boards do not agree with their description. */
export function unknownStanding(machine: Machine): Standing {
  return {
    offsets: machine.block.knives.map(() => [null, null]),
    middles: machine.block.knives.map(() => null),
    bows: machine.block.knives.map(() => null),
    tilt: null,
    crown: null,
    taper: null,
    degreesOfFreedom: Infinity,
  };
}

/** Whether every knife is known at both ends. */
export function knowsKnives(standing: Standing): boolean {
  return standing.offsets.every((ends) => ends.every((end) => end !== null));
}

/** Probability that a known quantity is within ± a tolerance; null when it is not known. */
export function conformity(known: Known | null, tolerance: number): number | null {
  if (!known) return null;
  return probabilityInside(known.value, -tolerance, tolerance, known.u, known.degreesOfFreedom);
}

export interface Verdicts {
  readonly knives: Verdict;
  readonly bed: Verdict;
  readonly together: Verdict;
}

/**
 * Errors of all offsets, front and back of each knife in turn, and of the tilt last: none for a tilt
 * that is not known. Null where some knife is not known.
 */
export function standingDraws(standing: Standing): Draws | null {
  if (!knowsKnives(standing)) return null;
  const offsets = standing.offsets.flat();
  const none = { factor: new Float64Array(offsets[0]?.factor.length ?? 0) };
  const all = [...offsets, standing.tilt ?? none];
  return drawErrors(
    all.map((known) => known!.factor),
    standing.degreesOfFreedom,
  );
}

/**
 * Joint verdicts. One known quantity outside is enough for outside; inside takes every one of them
 * known, and their joint probability.
 */
export function verdictsOf(machine: Machine, standing: Standing, draws: Draws | null): Verdicts {
  const { tolerance } = machine;
  const bedProbability = conformity(standing.tilt, tolerance.bed);
  const bed = bedProbability === null ? 'undecided' : verdict(bedProbability);
  const ends = standing.offsets.flat();
  const anyOutside = ends.some((end) => {
    const probability = conformity(end, tolerance.knife);
    return probability !== null && verdict(probability) === 'outside';
  });
  if (!draws) {
    const knives = anyOutside ? 'outside' : 'undecided';
    return { knives, bed, together: anyOutside || bed === 'outside' ? 'outside' : 'undecided' };
  }
  const estimates = [...ends.map((known) => known!.value), standing.tilt?.value ?? 0];
  const limits = ends.map(() => tolerance.knife);
  const joint = (bedLimit: number) =>
    verdict(jointProbability(draws, estimates, [...limits, bedLimit]));
  const knives = anyOutside ? 'outside' : joint(Infinity);
  if (!standing.tilt) return { knives, bed, together: anyOutside ? 'outside' : 'undecided' };
  const together = anyOutside || bed === 'outside' ? 'outside' : joint(tolerance.bed);
  return { knives, bed, together };
}
