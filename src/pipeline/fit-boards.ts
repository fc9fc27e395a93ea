import type { Reading } from '../boards/reading.js';
import type { BoardFit } from '../decide/board-fit.js';
import { foundRepeatability } from '../diagnose/bed-lock.js';
import { Decomposition } from '../fit/decomposition.js';
import type { Estimate } from '../fit/estimate.js';
import type { FitProblem, Noise } from '../fit/problem.js';
import { type Insistence, robustFit } from '../fit/robust.js';
import type { Instrument, Machine } from '../machine/machine.js';
import { comparableKnives } from '../model/comparable.js';
import { type PriorRow, stationsOf, type TestCutModel, testCutModel } from '../model/test-cut.js';

/** Degrees of freedom that the instrument's figures are worth beside the scatter. */
const GUESS_FREEDOM = 2;

/** One reading's noise from the instrument's figures: known, or a guess that the scatter corrects. */
export function noiseOf({ resolution, maxError, readingSd }: Instrument): Noise {
  if (readingSd !== null) return { kind: 'known', sd: readingSd };
  const guess = Math.sqrt(resolution ** 2 / 12 + (maxError / 2) ** 2);
  return { kind: 'estimated', guess, guessDegreesOfFreedom: GUESS_FREEDOM };
}

/** How often the bed's repeatability is found again when boards differ more than it allows. */
const LOCK_ROUNDS = 4;

/**
 * Fits the boards. Where they sat at heights that differ more than the bed's repeatability allows,
 * they are fitted again with what was found.
 *
 * @returns the fit, and the standard deviation found of the boards' heights, mm; null where the
 *   machine file's figure stands
 */
export function fitBoards(
  machine: Machine,
  readings: readonly Reading[],
  insistence: Insistence,
): { readonly boards: BoardFit; readonly foundLock: number | null } {
  let boards = fitOnce(machine, readings, insistence);
  let foundLock: number | null = null;
  let repeatability = machine.bed.repeatability;
  for (let round = 0; round < LOCK_ROUNDS; round++) {
    const worse = foundRepeatability(boards.model, boards.robust.fit, repeatability);
    if (worse === null) break;
    foundLock = worse;
    repeatability = worse;
    boards = fitOnce({ ...machine, bed: { ...machine.bed, repeatability } }, readings, insistence);
  }
  return { boards, foundLock };
}

/**
 * One fit: full boards with the knives' heights where every knife can be compared with every other,
 * else with a level of their own.
 */
function fitOnce(machine: Machine, readings: readonly Reading[], insistence: Insistence): BoardFit {
  const kept = readings.filter((_, index) => !insistence.exclude.has(index));
  const { knives } = machine.block;
  if (knives.every((id) => kept.some(({ knife }) => knife === id))) {
    const fit = fitModel(machine, testCutModel(machine, readings, 'foretold'), insistence);
    if (fit.group.length === knives.length) return fit;
  }
  return fitModel(machine, testCutModel(machine, readings, 'free'), insistence);
}

function fitModel(machine: Machine, model: TestCutModel, insistence: Insistence): BoardFit {
  const problem: FitProblem = {
    columns: model.layout.size,
    observed: model.readings.map((reading) => reading.thickness),
    priors: model.priors,
    predict: model.predict,
    gradient: model.gradient,
    isLinear: model.isLinear,
  };
  const robust = robustFit(problem, noiseOf(machine.instrument), insistence);
  return { model, problem, robust, ...comparison(model, robust.fit) };
}

/**
 * Which knives can be compared, by their own readings alone: rows of full boards that the knives
 * foretell are the same under any exchange of knives, so a full rank from them proves nothing. Once
 * every knife is known by itself, those rows tell of bed and boards as any others do.
 */
function comparison(model: TestCutModel, { kept, parameters }: Estimate) {
  const { layout, readings } = model;
  const rowsOf = (indices: readonly number[]) => (wanted: (prior: PriorRow) => boolean) => {
    const rows = indices.map((index) => model.gradient(parameters, index));
    const priors = model.priors.filter(wanted).map((prior) => prior.combination);
    return Decomposition.of([...rows, ...priors], layout.size);
  };
  const byThemselves = rowsOf(kept.filter(model.isLinear))(() => true);
  const { span } = layout;
  // A line through one place has no slope, however many readings were taken there.
  const own = (knife: number) => {
    const alone = kept
      .map((index) => readings[index]!)
      .filter((reading) => reading.cut !== 'full' && reading.knife === layout.knives[knife]);
    return stationsOf(alone, span.back - span.front).length >= 2;
  };
  const group = comparableKnives(layout, own, (combination) =>
    byThemselves.determines(combination),
  );
  const trusted = group.length === layout.knives.length ? kept : kept.filter(model.isLinear);
  const rows = rowsOf(trusted);
  // These are asked for only of the fit that is kept, and take time.
  const everything = once(() => rows(() => true));
  const withoutLock = once(() => rows((prior) => prior.kind !== 'bed-lock'));
  const readingsAlone = once(() => rows(() => false));
  return {
    group,
    determines: (combination: Float64Array) => everything().determines(combination),
    determinesWithoutLock: (combination: Float64Array) => withoutLock().determines(combination),
    rankOfReadings: () => readingsAlone().rank,
  };
}

function once<T>(make: () => T): () => T {
  let made: T | undefined;
  return () => {
    made ??= make();
    return made;
  };
}
