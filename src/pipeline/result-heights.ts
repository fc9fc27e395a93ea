import { tQuantile } from '../fit/distributions.js';
import { type Machine, outerAdjusters } from '../machine/machine.js';
import { bowShape, spanOf, xi } from '../model/coordinates.js';
import { stationGroups } from '../model/stations.js';
import type { KnifeStanding, Result } from '../record/result.js';
import { type Share, varianceOf } from './result-variance.js';

/** How the knives stand at one place across. */
export interface KnivesAt {
  /** Null for equal knives, which stand so everywhere. */
  readonly x: number | null;
  /** mm, + proud, against a common line; null where a knife's is not known. */
  readonly heights: readonly (number | null)[];
  /** How sure the heights are; null for equal knives, of which nothing was measured. */
  readonly certainty: Certainty | null;
}

export interface Certainty {
  /** Standard uncertainty of a sum of the heights with a weight a knife, mm. */
  readonly u: (weights: readonly number[]) => number;
  /** u times this covers 95 % on both sides. */
  readonly coverage: number;
  /** u times this covers 95 % on one side. */
  readonly oneSided: number;
}

/** How a result's knives stand at each station at which its readings were taken. */
export function knivesAtStations(machine: Machine, result: Result): readonly KnivesAt[] {
  return stationsOf(machine, result).map((x) => knivesAt(machine, result, x));
}

/** How a result's knives stand at one x. */
function knivesAt(machine: Machine, result: Result, x: number): KnivesAt {
  const degreesOfFreedom = result.fit?.readingSdFreedom ?? Infinity;
  const ξ = xi(spanOf(machine), x);
  const parts = machine.block.knives.map((id) =>
    partsOf(
      result.knives.find((knife) => knife.id === id),
      ξ,
    ),
  );
  return {
    x,
    heights: parts.map(
      (each) => each?.reduce((sum, { value, weight }) => sum + value * weight, 0) ?? null,
    ),
    certainty: {
      u: (weights) => uncertainty(result, parts, weights),
      coverage: tQuantile(0.975, degreesOfFreedom),
      oneSided: tQuantile(0.95, degreesOfFreedom),
    },
  };
}

/** x of the stations, each the middle of what lies near; the ends where no reading was fitted. */
function stationsOf(machine: Machine, result: Result): number[] {
  const [front, back] = outerAdjusters(machine);
  const places = [...new Set(result.fitted?.map(({ x }) => x))].map((x) => ({ x }));
  if (places.length === 0) return [front, back];
  return stationGroups(places, back - front).map(
    (near) => near.reduce((sum, { x }) => sum + x, 0) / near.length,
  );
}

/** A share of a knife's height in one of the offsets that the result has. */
interface Part {
  /** As the result's covariance calls it. */
  readonly name: string;
  readonly value: number;
  readonly u: number;
  readonly weight: number;
}

/**
 * A knife's height is a straight line through its ends and its bow, how far its middle stands from
 * that line, times 1 − ξ². Null where an offset that counts is not known.
 */
function partsOf(knife: KnifeStanding | undefined, ξ: number): readonly Part[] | null {
  if (!knife) return null;
  const [front, back] = knife.ends;
  const middle = knife.middle?.value ?? null;
  const bow = middle === null ? 0 : bowShape(ξ);
  const parts = [
    { name: front!.name, value: front!.offset, u: front!.u, weight: (1 - ξ - bow) / 2 },
    { name: back!.name, value: back!.offset, u: back!.u, weight: (1 + ξ - bow) / 2 },
    { name: 'middle', value: middle, u: knife.middle?.u ?? null, weight: bow },
  ].filter(({ weight }) => Math.abs(weight) > 1e-12);
  if (parts.some(({ value }) => value === null)) return null;
  return parts.map(({ name, value, u, weight }) => ({
    name: `${knife.id} ${name}`,
    value: value!,
    u: u ?? 0,
    weight,
  }));
}

function uncertainty(
  result: Result,
  parts: readonly (readonly Part[] | null)[],
  weights: readonly number[],
): number {
  const shares = new Map<string, Share>();
  parts.forEach((each, knife) => {
    for (const { name, u, weight } of each ?? []) {
      shares.set(name, { weight: weights[knife]! * weight, u });
    }
  });
  return Math.sqrt(varianceOf(result, shares));
}
