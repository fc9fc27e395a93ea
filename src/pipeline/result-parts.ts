import type { Reading } from '../boards/reading.js';
import type { BoardFit } from '../decide/board-fit.js';
import { probabilityInside, verdict } from '../decide/conformity.js';
import { conformity, type Known, knowsKnives, type Standing } from '../decide/standing.js';
import {
  checkFullBoards,
  type Judged,
  narrowingReading,
  turningReadings,
} from '../diagnose/evidence.js';
import { snipedReadings } from '../diagnose/snipe.js';
import { dot } from '../fit/decomposition.js';
import { residual } from '../fit/estimate.js';
import type { Insistence } from '../fit/robust.js';
import type { Machine } from '../machine/machine.js';
import { straightAt } from '../model/coordinates.js';
import { bedTilt, offset } from '../model/quantities.js';
import { likelySlip } from '../model/slips.js';
import { allShowWithin, showingKnives } from '../model/surface.js';
import type {
  BoardStanding,
  Evidence,
  Finish,
  FitSummary,
  Fitted,
  KnifeEnd,
  Measured,
  PlaceOfReading,
  Result,
  SetAside,
  Verdict,
} from '../record/result.js';
import { noiseOf } from './noises.js';

export interface ReadingLists {
  readonly readings: Result['readings'];
  readonly fitted: readonly Fitted[];
  /** Indices of the readings set aside as misreads. */
  readonly misreads: readonly number[];
  /** Indices of the readings set aside as snipe. */
  readonly sniped: readonly number[];
}

/** Which readings were used and which set aside, each with what was expected there. */
export function readingLists(
  { model, problem, robust }: BoardFit,
  insistence: Insistence,
  unit: 'mm' | 'in',
): ReadingLists {
  const { fit, rejected } = robust;
  const off = (index: number) => residual(problem, fit.parameters, index);
  const isPredicted = (index: number) =>
    fit.decomposition.determines(problem.gradient(fit.parameters, index));
  const { sd } = fit.noise[0]!;
  const ofThickness = (index: number) => index < model.readings.length;
  const used = fit.kept.filter(ofThickness);
  const suspects = rejected.filter(ofThickness);
  const sniped = snipedReadings(model.readings, suspects, off, sd);
  const misreads = suspects.filter((index) => !sniped.includes(index));
  const entry = (index: number, reason: string): SetAside => {
    const reading = model.readings[index]!;
    if (!isPredicted(index)) return { ...place(reading), residual: null, reason, likely: null };
    const predicted = reading.thickness - off(index);
    const likely = reason === 'misread' ? likelySlip(reading.thickness, predicted, sd, unit) : null;
    return { ...place(reading), residual: off(index), reason, likely };
  };
  const setAside = [
    ...[...insistence.exclude].map((index) => entry(index, 'excluded')),
    ...sniped.map((index) => entry(index, 'snipe')),
    ...misreads.map((index) => entry(index, 'misread')),
  ];
  return {
    readings: {
      total: model.readings.length,
      used: used.length,
      setAside,
      insistedOn: placesOf([...insistence.use].map((index) => model.readings[index]!)),
    },
    fitted: used.map((index) => {
      const reading = model.readings[index]!;
      const predicted = reading.thickness - off(index);
      const { cut, setting } = reading;
      return { ...place(reading), cut, setting, predicted, residual: off(index) };
    }),
    misreads,
    sniped,
  };
}

/** Each place once: a row of a grid holds several readings. */
function placesOf(readings: readonly Reading[]): { file: string; line: number }[] {
  const places = new Map(readings.map(({ file, line }) => [`${file}:${line}`, { file, line }]));
  return [...places.values()];
}

function place({ file, line, board, knife, x, y, thickness }: Reading): PlaceOfReading {
  return { file, line, board, knife, x, y, thickness };
}

export function fitSummaryOf(boards: BoardFit, undetermined: readonly string[]): FitSummary {
  const { model, robust, rankOfReadings } = boards;
  const { fit } = robust;
  const { rank } = fit.decomposition;
  const noise = fit.noise[0]!;
  return {
    rank,
    rankOfReadings: rankOfReadings(),
    parameters: model.layout.size,
    degreesOfFreedom: fit.kept.length + model.priors.length - rank,
    residualSd: noise.residualSd,
    readingSd: noise.sd,
    readingSdFreedom: noise.degreesOfFreedom === Infinity ? null : noise.degreesOfFreedom,
    ending: fit.ending,
    undetermined,
  };
}

/** Knives, bed, crown, board and covariance as the result lists them. */
export function standingParts(
  machine: Machine,
  standing: Standing,
): Pick<Result, 'knives' | 'bed' | 'crown' | 'board'> & Required<Pick<Result, 'covariance'>> {
  const { at, names } = machine.adjusters;
  const xs = [at[0]!, at.at(-1)!] as const;
  const judgement = (known: Known | null, tolerance: number) => {
    const probability = conformity(known, tolerance);
    return {
      u: known?.u ?? null,
      U: known?.U ?? null,
      probabilityInside: probability,
      verdict: (probability === null ? 'undecided' : verdict(probability)) as Verdict,
    };
  };
  return {
    knives: machine.block.knives.map((id, knife) => ({
      id,
      middle: measured(standing.middles[knife]!),
      ends: standing.offsets[knife]!.map((known, end): KnifeEnd => {
        const name = names[end as 0 | 1];
        const rest = judgement(known, machine.tolerance.knife);
        return { name, x: xs[end as 0 | 1], offset: known?.value ?? null, ...rest };
      }),
    })),
    bed: {
      tilt: standing.tilt?.value ?? null,
      span: xs[1] - xs[0],
      ...judgement(standing.tilt, machine.tolerance.bed),
    },
    crown: measured(standing.crown),
    board: {
      taper: standing.taper?.value ?? null,
      ...judgement(standing.taper, machine.tolerance.bed),
    } satisfies BoardStanding,
    covariance: covarianceOf(machine, standing),
  };
}

function measured(known: Known | null): Measured {
  return { value: known?.value ?? null, u: known?.u ?? null, U: known?.U ?? null };
}

function covarianceOf(machine: Machine, standing: Standing): NonNullable<Result['covariance']> {
  const named = standing.offsets.flatMap((ends, knife) =>
    ends.map((known, end) => ({
      name: `${machine.block.knives[knife]} ${machine.adjusters.names[end as 0 | 1]}`,
      known,
    })),
  );
  const middles = standing.middles.map((known, knife) => ({
    name: `${machine.block.knives[knife]} middle`,
    known,
  }));
  const known = [...named, ...middles, { name: 'bed tilt', known: standing.tilt }].filter(
    (entry): entry is { name: string; known: Known } => entry.known !== null,
  );
  return {
    of: known.map(({ name }) => name),
    matrix: known.map((a) => known.map((b) => dot(a.known.factor, b.known.factor))),
  };
}

/** Which knives leave marks at this feed, if the estimates were exact. */
export function finishOf(machine: Machine, { model }: BoardFit, standing: Standing): Finish {
  const { front, back } = model.layout.span;
  const allWithin = model.feed ? allShowWithin(model.feed) : null;
  if (!knowsKnives(standing)) return { showing: [], allWithin, stations: [] };
  const { knives } = machine.block;
  const stations = [front, (front + back) / 2, back].map((x, station) => {
    const heights = standing.offsets.map(([a, b], knife) => {
      const middle = station === 1 ? standing.middles[knife] : null;
      return middle?.value ?? straightAt(model.layout.span, x, a!.value, b!.value);
    });
    const shown = showingKnives(heights, model.feed);
    return { x, showing: knives.filter((_, knife) => shown.has(knife)) };
  });
  const anywhere = knives.filter((id) => stations.some(({ showing }) => showing.includes(id)));
  return { showing: anywhere, allWithin, stations };
}

/** Nothing to trust or to narrow. */
export const NO_EVIDENCE: Evidence = { fullBoards: null, turning: [], narrowing: null };

/** The three figures that a careful person asks for. */
export function evidenceOf(machine: Machine, boards: BoardFit, standing: Standing): Evidence {
  const { model, problem, robust } = boards;
  const judged = judgedOf(machine, boards, standing);
  const fullBoards = checkFullBoards(model, problem, robust.fit);
  if (judged.length === 0) return { fullBoards, turning: [], narrowing: null };
  const noise = noiseOf(machine.instrument);
  const narrowing = narrowingReading(problem, robust.fit, judged);
  return {
    fullBoards,
    turning: turningReadings(problem, robust.fit, noise, judged).map(({ index, quantity, to }) => ({
      ...place(model.readings[index]!),
      quantity,
      to: to as Verdict,
    })),
    narrowing: narrowing && {
      ...place(model.readings[narrowing.index]!),
      quantity: narrowing.quantity,
      from: narrowing.from,
      to: narrowing.to,
    },
  };
}

function judgedOf(machine: Machine, { model, group }: BoardFit, standing: Standing): Judged[] {
  const { layout } = model;
  const judge = (tolerance: number) => (value: number, u: number, ν: number) =>
    verdict(probabilityInside(value, -tolerance, tolerance, u, ν));
  const xs = [layout.span.front, layout.span.back];
  const judged = standing.offsets.flatMap((ends, knife) =>
    ends.flatMap((known, end): Judged[] => {
      if (!known) return [];
      return [
        {
          name: `knife ${machine.block.knives[knife]} ${machine.adjusters.names[end as 0 | 1]}`,
          value: known.value,
          tolerance: machine.tolerance.knife,
          degreesOfFreedom: known.degreesOfFreedom,
          combination: offset(layout, group, knife, xs[end]!),
          verdictOf: judge(machine.tolerance.knife),
        },
      ];
    }),
  );
  if (standing.tilt) {
    judged.push({
      name: 'bed tilt',
      value: standing.tilt.value,
      tolerance: machine.tolerance.bed,
      degreesOfFreedom: standing.tilt.degreesOfFreedom,
      combination: bedTilt(layout, group),
      verdictOf: judge(machine.tolerance.bed),
    });
  }
  return judged;
}
