import type { BoardFit } from '../decide/board-fit.js';
import { foundRepeatability } from '../diagnose/bed-lock.js';
import { dot } from '../fit/decomposition.js';
import { tCdf } from '../fit/distributions.js';
import { estimate } from '../fit/estimate.js';
import type { FitProblem } from '../fit/problem.js';
import { type Insistence, type RobustFit, robustFit } from '../fit/robust.js';
import { truncationRows } from '../fit/truncate.js';
import type { Machine } from '../machine/machine.js';
import { type Bound, NO_INSTRUMENTS } from '../model/instruments.js';
import { along } from '../model/layout.js';
import type { PriorRow } from '../model/priors.js';
import { type Scoop, scoopsOf } from '../model/scoops.js';
import {
  type FullCut,
  type Observations,
  type TestCutModel,
  testCutModel,
} from '../model/test-cut.js';
import { comparison } from './comparison.js';
import { type InstrumentNoises, kindNoises, noiseOf } from './noises.js';

/** What there is to fit: thicknesses and what other instruments read, and how well those do. */
export interface Measured extends Omit<Observations, 'scoops'> {
  readonly noises: InstrumentNoises;
}

/** Nothing but thicknesses. */
export const THICKNESS_ALONE = { instruments: NO_INSTRUMENTS, noises: { marks: null } };

/** What the owner insists on, of readings of thickness and of other instruments'. */
export interface FitInsistence extends Insistence {
  readonly useRows?: ReadonlySet<object>;
}

/** How often the bed's repeatability is found again when boards differ more than it allows. */
const LOCK_ROUNDS = 4;
/** How often the scoops' arcs are laid again where the fit has moved their bottoms. */
const SCOOP_ROUNDS = 4;
/** A limit that is kept this seldom by chance is broken. */
const BROKEN_BELOW = 0.0005;
/** A bottom that moves less than this, mm, changes no thickness. */
const SCOOP_SETTLED = 0.02;

/**
 * Fits the boards, and what other instruments read with them. Where boards sat at heights that differ
 * more than the bed's repeatability allows, they are fitted again with what was found.
 *
 * @returns the fit, and the standard deviation found of the boards' heights, mm; null where the
 *   machine file's figure stands
 */
export function fitBoards(
  machine: Machine,
  measured: Measured,
  insistence: FitInsistence,
): { readonly boards: BoardFit; readonly foundLock: number | null } {
  let boards = fitOnce(machine, measured, insistence);
  let foundLock: number | null = null;
  let repeatability = machine.bed.repeatability;
  for (let round = 0; round < LOCK_ROUNDS; round++) {
    const worse = foundRepeatability(boards.model, boards.robust.fit, repeatability);
    if (worse === null) break;
    foundLock = worse;
    repeatability = worse;
    const looser = { ...machine, bed: { ...machine.bed, repeatability } };
    boards = fitOnce(looser, measured, insistence);
  }
  return { boards, foundLock };
}

/**
 * One fit: full boards with the knives' heights where every knife can be compared with every other,
 * else with a level of their own.
 */
function fitOnce(machine: Machine, measured: Measured, insistence: FitInsistence): BoardFit {
  const { readings, instruments } = measured;
  const kept = readings.filter((_, index) => !insistence.exclude.has(index));
  const { knives } = machine.block;
  const others = [...kept, ...instruments.gauge, ...instruments.carry];
  const marked = new Set(instruments.marks.flatMap(({ terms }) => terms.map(({ knife }) => knife)));
  if (knives.every((id, k) => marked.has(k) || others.some(({ knife }) => knife === id))) {
    const fit = fitScoops(machine, measured, 'foretold', insistence);
    if (fit.group.length === knives.length) return withBounds(fit);
  }
  return withBounds(fitScoops(machine, measured, 'free', insistence));
}

/** A fit whose scoops' arcs lie where the fit itself puts their bottoms. */
function fitScoops(
  machine: Machine,
  measured: Measured,
  fullCut: FullCut,
  insistence: FitInsistence,
): BoardFit {
  let scoops: readonly Scoop[] = scoopsOf(machine, measured.readings, insistence.exclude);
  for (let round = 1; ; round++) {
    const model = testCutModel(machine, { ...measured, scoops }, fullCut);
    const fit = fitModel(machine, model, measured.noises, insistence);
    const { layout } = model;
    const moved = scoops.map(
      ({ name }) =>
        fit.robust.fit.parameters[layout.at.reference + layout.references.indexOf(name)]!,
    );
    const isSettled = moved.every((by) => Math.abs(by) < SCOOP_SETTLED);
    if (isSettled || round === SCOOP_ROUNDS) return fit;
    scoops = scoops.map((scoop, i) => ({ ...scoop, bottom: scoop.bottom + moved[i]! }));
  }
}

function fitModel(
  machine: Machine,
  model: TestCutModel,
  instrumentNoises: InstrumentNoises,
  insistence: FitInsistence,
): BoardFit {
  const problem = problemOf(model);
  const noises = kindNoises(model, noiseOf(machine.instrument), instrumentNoises);
  const robust = robustFit(problem, noises, withRows(model, insistence));
  const compared = comparison(model, robust.fit);
  return { model, problem, noises, robust, brokenBounds: [], ...compared };
}

/** What the fit sees of the model. */
function problemOf(model: TestCutModel): FitProblem {
  const { readings, rows, kinds } = model;
  const isThickness = readings.map(() => 0);
  const groups: (string | null)[] = readings.map(() => null);
  for (const scoop of model.scoops) for (const index of scoop.readings) groups[index] = scoop.name;
  return {
    columns: model.layout.size,
    observed: [...readings.map(({ thickness }) => thickness), ...rows.map(({ value }) => value)],
    ...(rows.length === 0
      ? {}
      : {
          kinds: [...isThickness, ...rows.map(({ kind }) => kinds.indexOf(kind))],
          scales: [...readings.map(() => 1), ...rows.map(({ scale }) => scale)],
        }),
    ...(model.scoops.length === 0
      ? {}
      : { groups, suspects: new Set(model.scoops.flatMap(({ astray }) => astray)) }),
    priors: model.priors,
    predict: model.predict,
    gradient: model.gradient,
    isLinear: (index) => !model.seesAll(index),
  };
}

/**
 * Rows of marks are sums over many ridges, among which misreads were looked for already; others may
 * be insisted on as readings are.
 */
function withRows({ readings, rows }: TestCutModel, insistence: FitInsistence): Insistence {
  const kept = rows.flatMap(({ kind, source }, i) => {
    const isWanted = kind === 'marks' || (source && insistence.useRows?.has(source));
    return isWanted ? [readings.length + i] : [];
  });
  return { exclude: insistence.exclude, use: new Set([...insistence.use, ...kept]) };
}

/**
 * The fit with what is only known to be no higher than a limit: an inequality each, whose truncated
 * errors stand in for it as rows of their own. A knife that nothing else tells of stays unknown.
 */
function withBounds(boards: BoardFit): BoardFit {
  const { model, problem, noises, robust } = boards;
  const { fit } = robust;
  const bounds = tightest(model.bounds).filter(({ combination }) => boards.determines(combination));
  const truncations = bounds.map(({ combination, atMost }) => ({
    value: along(combination, fit.parameters),
    factor: fit.decomposition.factor(combination),
    atMost,
  }));
  const { degreesOfFreedom } = fit.noise[0]!;
  const isBroken = truncations.map(({ value, factor, atMost }) => {
    const beyond = (value - atMost) / Math.sqrt(dot(factor, factor));
    return 1 - tCdf(beyond, degreesOfFreedom) < BROKEN_BELOW;
  });
  const brokenBounds = bounds.filter((_, i) => isBroken[i]);
  const sites = truncationRows(truncations).flatMap((row, i): PriorRow[] =>
    row ? [{ kind: 'bound', combination: bounds[i]!.combination, ...row }] : [],
  );
  if (sites.length === 0) return { ...boards, brokenBounds };
  const priors = [...model.priors, ...sites];
  const bounded = { ...problem, priors };
  const sds = fit.noise.map(({ sd }) => sd);
  const again = estimate(bounded, fit.kept, noises, [fit.parameters], sds);
  const wider: RobustFit = { ...robust, fit: again };
  return { ...boards, model: { ...model, priors }, problem: bounded, robust: wider, brokenBounds };
}

/** Of limits on the same sum of heights only the lowest: the others say nothing more. */
function tightest(bounds: readonly Bound[]): Bound[] {
  const lowest = new Map<string, Bound>();
  for (const bound of bounds) {
    const key = bound.combination.map((share) => Math.round(share * 1e6)).join();
    const other = lowest.get(key);
    if (!other || bound.atMost < other.atMost) lowest.set(key, bound);
  }
  return [...lowest.values()];
}
