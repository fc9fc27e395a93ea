import { NOTHING_FURTHER, type Reading } from '../boards/reading.js';
import type { BoardFit } from '../decide/board-fit.js';
import { type Standing, standingOf } from '../decide/standing.js';
import { Decomposition, dot } from '../fit/decomposition.js';
import type { FoundNoise } from '../fit/estimate.js';
import {
  type FitProblem,
  initialSd,
  kindOf,
  type Noise,
  sdOf,
  whitenedRows,
} from '../fit/problem.js';
import type { Machine } from '../machine/machine.js';
import { type InstrumentReadings, NO_INSTRUMENTS } from '../model/instruments.js';
import type { Layout } from '../model/layout.js';
import { type FullCut, type TestCutModel, testCutModel } from '../model/test-cut.js';
import type { PlannedBoard } from '../record/plan.js';
import { comparison } from './comparison.js';
import { kindNoises, noiseOf } from './noises.js';

/** A place, and how often it is read. */
export interface CountedPlace {
  readonly reading: Reading;
  readonly count: number;
}

/** What boards will tell, before any is cut. */
export interface Foretelling {
  readonly boards: BoardFit;
  readonly standing: Standing;
  /** Degrees of freedom of the noise of knives' own readings, the instrument's figures among them. */
  readonly freedom: number;
}

/** Heights of the knives that full boards are foretold from: at the front, in the middle, at the back. */
export type AssumedHeights = readonly (readonly [number, number, number])[];

/** A thickness as good as any: only places tell how sure heights will be. */
const ANY_THICKNESS = 20;
/** How far the leading knife is taken to lead, mm: so far that no other leaves a mark. */
const LEADS_BY = 1;

/** The places of boards as they will be read. */
export function countedPlaces(boards: readonly PlannedBoard[]): CountedPlace[] {
  return boards.flatMap(({ board, cut, knives, x, y, setting = null }) =>
    knives.flatMap((knife) =>
      x.map((at) => ({
        reading: {
          ...NOTHING_FURTHER,
          board,
          knife,
          cut,
          setting,
          x: at,
          y: y[0] ?? 0,
          thickness: ANY_THICKNESS,
        },
        count: y.length,
      })),
    ),
  );
}

/**
 * How sure knives, bed and boards will be known from places alone: the same rows, priors and rules as
 * in the fit of measured boards, with the noise that the instrument's figures say and the degrees of
 * freedom that so many readings will give it.
 *
 * @param heights from which the rows of full boards follow; one knife leading everywhere, where
 *   nothing is known
 */
export function foretell(
  machine: Machine,
  places: readonly CountedPlace[],
  instruments: InstrumentReadings = NO_INSTRUMENTS,
  heights: AssumedHeights | null = null,
): Foretelling {
  const { knives } = machine.block;
  const others = [...instruments.gauge, ...instruments.carry];
  const isOwn = (id: string) =>
    places.some(({ reading }) => reading.knife === id) || others.some(({ knife }) => knife === id);
  const made = (fullCut: FullCut) => fitOf(machine, places, instruments, heights, fullCut);
  const foretold = knives.every(isOwn) ? made('foretold') : null;
  const fit = foretold?.boards.group.length === knives.length ? foretold : made('free');
  return { ...fit, standing: standingOf(machine, fit.boards) };
}

/** The rows that places will give, before they are taken apart. */
export interface Design {
  readonly model: TestCutModel;
  readonly problem: FitProblem;
  readonly noises: readonly Noise[];
  readonly parameters: Float64Array;
  /** Whitened, of the places and of other instruments in their order, then of what is known beforehand. */
  readonly rows: readonly Float64Array[];
}

/**
 * The rows of places, full boards as the knives foretell them or with a level of their own.
 *
 * @param heights from which the rows of full boards follow; null for one knife leading everywhere
 */
export function designOf(
  machine: Machine,
  places: readonly CountedPlace[],
  instruments: InstrumentReadings,
  heights: AssumedHeights | null,
  fullCut: FullCut,
): Design {
  const readings = places.map(({ reading }) => reading);
  const model = testCutModel(machine, { readings, scoops: [], instruments }, fullCut);
  const noises = kindNoises(model, noiseOf(machine.instrument), { marks: null });
  const problem = problemOf(model, places);
  const parameters = parametersOf(model.layout, heights);
  const all = problem.observed.map((_, index) => index);
  const rows = whitenedRows(problem, all, noises.map(initialSd)).design(parameters);
  return { model, problem, noises, parameters, rows };
}

function fitOf(
  machine: Machine,
  places: readonly CountedPlace[],
  instruments: InstrumentReadings,
  heights: AssumedHeights | null,
  fullCut: FullCut,
): Omit<Foretelling, 'standing'> {
  const design = designOf(machine, places, instruments, heights, fullCut);
  const { model, problem, noises, parameters } = design;
  const kept = problem.observed.map((_, index) => index);
  const sds = noises.map(initialSd);
  const decomposition = Decomposition.of(design.rows, problem.columns);
  const leftOver = kept.map((index) => {
    const factor = decomposition.factor(problem.gradient(parameters, index));
    const count = places[index]?.count ?? 1;
    return count - dot(factor, factor) / sdOf(problem, sds, index) ** 2;
  });
  const noise = noises.map((each, kind): FoundNoise => {
    const own = leftOver.filter((_, index) => kindOf(problem, index) === kind);
    return { sd: sds[kind]!, degreesOfFreedom: noiseFreedom(each, own), residualSd: null };
  });
  const fit = {
    parameters,
    kept,
    noise,
    decomposition,
    sumOfSquares: 0,
    ending: 'converged-step',
  } as const;
  const boards: BoardFit = {
    model,
    problem,
    noises,
    robust: { fit, rejected: [], ambiguous: [] },
    brokenBounds: [],
    ...comparison(model, fit),
  };
  // What full boards leave over is the noise of planed faces, not that of scoops.
  const own = leftOver.filter((_, index) => places[index] && places[index].reading.cut !== 'full');
  return { boards, freedom: noiseFreedom(noises[0]!, own) };
}

/** A place that is read n times counts as one reading with 1/√n of the noise. */
function problemOf(model: TestCutModel, places: readonly CountedPlace[]): FitProblem {
  const { rows, kinds, layout, priors, predict, gradient, seesAll } = model;
  return {
    columns: layout.size,
    observed: [...places.map(() => ANY_THICKNESS), ...rows.map(({ value }) => value)],
    kinds: [...places.map(() => 0), ...rows.map(({ kind }) => kinds.indexOf(kind))],
    scales: [...places.map(({ count }) => 1 / Math.sqrt(count)), ...rows.map(({ scale }) => scale)],
    priors,
    predict,
    gradient,
    isLinear: (index) => !seesAll(index),
  };
}

/** Parameters at which the knives stand as assumed; all else does not matter. */
function parametersOf(layout: Layout, heights: AssumedHeights | null): Float64Array {
  const out = new Float64Array(layout.size);
  const { at, contrasts, bows } = layout;
  layout.knives.forEach((_, knife) => {
    const leading = knife === 0 ? LEADS_BY : 0;
    const [front, middle, back] = heights?.[knife] ?? [leading, leading, leading];
    contrasts[knife]!.forEach((share, j) => {
      out[at.height + j]! += (share * (front + back)) / 2;
      out[at.slope + j]! += (share * (back - front)) / 2;
      if (bows) out[at.bow + j]! += share * (middle - (front + back) / 2);
    });
  });
  return out;
}

function noiseFreedom(noise: Noise, leftOver: readonly number[]): number {
  if (noise.kind === 'known') return Infinity;
  return leftOver.reduce((sum, left) => sum + left, noise.guessDegreesOfFreedom);
}
