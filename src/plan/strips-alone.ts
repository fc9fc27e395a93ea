import { Decomposition, dot } from '../fit/decomposition.js';
import { tQuantile } from '../fit/distributions.js';
import { bowShape, type Span, xi } from '../model/coordinates.js';
import { BOW_SD } from '../model/priors.js';
import type { Station } from './boards.js';
import type { Judgement } from './search.js';

/** What strips cut by hand are judged by. Lengths in mm. */
export interface StripsAsked {
  readonly span: Span;
  readonly knives: number;
  /** Standard deviation of a reading, and the degrees of freedom that this figure is worth. */
  readonly sd: number;
  readonly sdFreedom: number;
  /** Standard deviation of the bed's height from strip to strip; null where it is not known. */
  readonly lock: number | null;
  /** The widest U that is wanted of a knife's end, and of the tilt. */
  readonly endU: number;
  readonly tiltU: number;
}

/**
 * How sure knives' ends and tilt will be by strips on which every knife cuts equally often. What
 * tells knives apart and what is common to them are then at right angles, and of the contrasts each
 * sees the same rows: so two small fits stand for the large one, and agree with it exactly. That is
 * fast enough to be asked thousands of times. Strips that share a place count as one, which makes the
 * tilt no surer than it will be.
 */
export function judgeStrips(asked: StripsAsked, stations: readonly Station[]): Judgement {
  const { knives, sd, sdFreedom } = asked;
  const ξs = stations.map(({ x }) => xi(asked.span, x));
  const hasBow = stations.length >= 3;
  const apart = contrastRows(asked, stations, ξs, hasBow);
  const common = commonRows(asked, stations, ξs, hasBow);
  const readings = knives * stations.reduce((sum, { rounds }) => sum + rounds, 0);
  // Where nothing ties strips together, the height of each is a parameter of its own.
  const takenInCommon = asked.lock === null ? stations.length : common.taken;
  const taken = (knives - 1) * apart.taken + takenInCommon;
  const freedom = sdFreedom + (sdFreedom === Infinity ? 0 : readings - taken);
  const coverage = tQuantile(0.975, Math.max(1, freedom));
  const ofContrast = Math.sqrt(1 - 1 / knives) * coverage;
  const ends = [-1, 1].map((ξ) => {
    const u = apart.u([1, ξ, ...(hasBow ? [0] : [])]);
    return (u * ofContrast) / asked.endU;
  });
  const uTilt = asked.lock === null ? 0 : common.u([0, 1]);
  const all = [...ends, (uTilt * coverage) / asked.tiltU];
  const mean = Math.sqrt(all.reduce((sum, each) => sum + each ** 2, 0) / all.length);
  return { worst: Math.max(...all), mean, freedom: sd === 0 ? Infinity : freedom };
}

interface SmallFit {
  /** Standard uncertainty of a combination of the first parameters, mm; infinite where it is open. */
  readonly u: (combination: readonly number[]) => number;
  /** Degrees of freedom that the parameters take from the readings. */
  readonly taken: number;
}

/** Height, slope and bow of what two knives differ by. */
function contrastRows(
  { sd }: StripsAsked,
  stations: readonly Station[],
  ξs: readonly number[],
  hasBow: boolean,
): SmallFit {
  const rows = stations.map(({ rounds }, i) => {
    const weight = Math.sqrt(rounds) / sd;
    return [1, ξs[i]!, ...(hasBow ? [bowShape(ξs[i]!)] : [])].map((value) => weight * value);
  });
  return smallFit(rows, hasBow ? [[0, 0, 1 / BOW_SD]] : []);
}

/** Gap, tilt and crown, and how the bed sat under each strip. */
function commonRows(
  { sd, knives, lock }: StripsAsked,
  stations: readonly Station[],
  ξs: readonly number[],
  hasBow: boolean,
): SmallFit {
  const isFree = lock !== null && lock > 0;
  const own = (i: number, value: number) => stations.map((_, k) => (isFree && k === i ? value : 0));
  const rows = stations.map(({ rounds }, i) => {
    const weight = Math.sqrt(knives * rounds) / sd;
    const shared = [1, ξs[i]! / 2, hasBow ? bowShape(ξs[i]!) : 0];
    return [...shared.map((value) => weight * value), ...own(i, weight)];
  });
  const priors = isFree ? stations.map((_, i) => [0, 0, 0, ...own(i, 1 / lock)]) : [];
  return smallFit(rows, priors);
}

function smallFit(rows: readonly number[][], priors: readonly number[][]): SmallFit {
  const columns = rows[0]?.length ?? 0;
  const fit = Decomposition.of([...rows, ...priors], columns);
  const size = (combination: readonly number[]) => {
    const factor = fit.factor(combination);
    return Math.sqrt(dot(factor, factor));
  };
  return {
    u: (first) => {
      const combination = Array.from({ length: columns }, (_, j) => first[j] ?? 0);
      return fit.determines(combination) ? size(combination) : Infinity;
    },
    taken: rows.reduce((sum, row) => sum + size(row) ** 2, 0),
  };
}
