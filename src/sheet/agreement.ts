import { NOTHING_FURTHER, type Reading } from '../boards/reading.js';
import { dot } from '../fit/decomposition.js';
import { tCdf } from '../fit/distributions.js';
import { type Estimate, estimate } from '../fit/estimate.js';
import type { FitProblem, Noise } from '../fit/problem.js';
import type { Machine } from '../machine/machine.js';
import { NO_INSTRUMENTS } from '../model/instruments.js';
import { testCutModel } from '../model/test-cut.js';
import { knownBeforehand } from './beforehand.js';
import type { Place } from './places.js';

/** A thickness read at a place, mm. */
export interface Read {
  readonly place: Place;
  readonly thickness: number;
}

/** How one reading stands to what others lead to expect. Lengths in mm. */
export interface Standing {
  readonly expected: number;
  /** Of the expectation and the reading's own noise together. */
  readonly sd: number;
  readonly readingSd: number;
  /** So likely a right reading is as far off or farther, either way. */
  readonly probability: number;
}

/** How readings agree with one another, by the model of the test boards. */
export interface Agreement {
  /** How a reading stands to what some others lead to expect. */
  standing(index: number, others: readonly number[]): Standing;
  /**
   * What stays of some readings when that which agrees least with the rest is left out, again and
   * again, as long as so much disagreement is less likely than `below`.
   */
  withoutStrays(indices: readonly number[], below: number): number[];
  /** For each of some readings how far it is from what the rest lead to expect, in its sd. */
  distances(indices: readonly number[]): Distance[];
}

export interface Distance {
  readonly index: number;
  /** Residual of the reading left out, over its standard deviation. */
  readonly distance: number;
  readonly degreesOfFreedom: number;
}

/** With more degrees of freedom Student's t is the normal distribution. */
const AS_GOOD_AS_KNOWN = 1e5;
/** Less than this of a degree of freedom is none. */
const NO_FREEDOM = 1e-6;

/** How readings agree, full boards having a level of their own. Indices are those of `reads`. */
export function agreementOf(machine: Machine, noise: Noise, reads: readonly Read[]): Agreement {
  const problem = problemOf(machine, reads);
  const rest = new Float64Array(problem.columns);
  // The same readings are asked about in several ways, and a fit is what takes time.
  const fits = new Map<string, Estimate>();
  const fitOf = (kept: readonly number[]) => {
    const key = kept.join();
    const fit = fits.get(key) ?? estimate(problem, kept, [noise], [rest]);
    fits.set(key, fit);
    return fit;
  };
  const distances = (indices: readonly number[]) => distancesOf(problem, noise, fitOf(indices));
  return {
    standing: (index, others) => standingOf(problem, fitOf(others), index),
    distances,
    withoutStrays: (indices, below) => {
      let kept = [...indices];
      while (kept.length > 2) {
        const worst = farthest(distances(kept));
        if (chance(worst.distance, worst.degreesOfFreedom) >= below) break;
        kept = kept.filter((index) => index !== worst.index);
      }
      return kept;
    },
  };
}

/** The reading that is farthest from what the others lead to expect. */
export function farthest(distances: readonly Distance[]): Distance {
  return distances.reduce((a, b) => (Math.abs(b.distance) > Math.abs(a.distance) ? b : a));
}

function problemOf(machine: Machine, reads: readonly Read[]): FitProblem {
  const readings = reads.map(({ place, thickness }) => readingAt(place, thickness));
  const observations = { readings, scoops: [], instruments: NO_INSTRUMENTS };
  const model = testCutModel(machine, observations, 'free');
  return {
    columns: model.layout.size,
    observed: reads.map(({ thickness }) => thickness),
    priors: knownBeforehand(machine, model),
    predict: model.predict,
    gradient: model.gradient,
    isLinear: () => true,
  };
}

function readingAt(place: Place, thickness: number): Reading {
  return { ...NOTHING_FURTHER, ...place, thickness };
}

/**
 * The predictive distribution of one more reading. What is known beforehand has a known standard
 * deviation, what readings add one that was found, so its degrees of freedom are those of the shares
 * (Welch and Satterthwaite, JCGM 100:2008 G.4.1).
 */
function standingOf(problem: FitProblem, fit: Estimate, index: number): Standing {
  const { parameters, decomposition, kept, noise } = fit;
  const { sd: readingSd, degreesOfFreedom } = noise[0]!;
  const expected = problem.predict(parameters, index);
  const factor = decomposition.factor(problem.gradient(parameters, index));
  const variance = dot(factor, factor) + readingSd ** 2;
  const fromReadings = kept.reduce((sum, other) => {
    const own = decomposition.factor(problem.gradient(parameters, other));
    return sum + (dot(factor, own) / readingSd) ** 2;
  }, readingSd ** 2);
  const sd = Math.sqrt(variance);
  const freedom = degreesOfFreedom * (variance / fromReadings) ** 2;
  const probability = chance((problem.observed[index]! - expected) / sd, freedom);
  return { expected, sd, readingSd, probability };
}

/** Studentised residuals with the reading itself left out, of its fit and of the noise. */
function distancesOf(problem: FitProblem, noise: Noise, fit: Estimate): Distance[] {
  const { parameters, decomposition, kept } = fit;
  const { sd, degreesOfFreedom } = fit.noise[0]!;
  return kept.map((index) => {
    const own = decomposition.factor(problem.gradient(parameters, index));
    const free = 1 - dot(own, own) / sd ** 2;
    // A reading that alone tells of something agrees with every other.
    if (free < NO_FREEDOM) return { index, distance: 0, degreesOfFreedom };
    const residual = problem.observed[index]! - problem.predict(parameters, index);
    if (noise.kind === 'known') {
      return { index, distance: residual / (sd * Math.sqrt(free)), degreesOfFreedom };
    }
    const rest = degreesOfFreedom - free;
    const without = Math.sqrt(
      Math.max(degreesOfFreedom * sd ** 2 - residual ** 2 / free, 0) / rest,
    );
    const least = noise.guess * Math.sqrt(noise.guessDegreesOfFreedom / rest);
    const distance = residual / (Math.max(without, least) * Math.sqrt(free));
    return { index, distance, degreesOfFreedom: rest };
  });
}

/** How likely Student's t is as far from zero or farther. */
function chance(t: number, degreesOfFreedom: number): number {
  const isNormal = degreesOfFreedom > AS_GOOD_AS_KNOWN;
  return 2 * tCdf(-Math.abs(t), isNormal ? Infinity : degreesOfFreedom);
}
