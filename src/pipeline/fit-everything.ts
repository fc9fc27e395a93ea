import type { Reading } from '../boards/reading.js';
import type { BoardFit } from '../decide/board-fit.js';
import { withForm } from '../decide/knife-shapes.js';
import { type Agreement, agreementOf } from '../diagnose/contradiction.js';
import type { Machine } from '../machine/machine.js';
import {
  type InstrumentKind,
  type InstrumentReadings,
  NO_INSTRUMENTS,
} from '../model/instruments.js';
import { hasErrors, type Notice } from '../notices/notice.js';
import { shapesOfFit } from './earlier-shapes.js';
import { type FitInsistence, fitBoards, type Measured } from './fit-boards.js';
import {
  type MarkSequence,
  type MarkSequences,
  markSequences,
  ridgeNoise,
} from './mark-sequences.js';
import type { RawInstruments } from './read-instruments.js';
import { settleMarks } from './settle-marks.js';
import { whoseMarks } from './whose-marks.js';

type Fit = ReturnType<typeof fitBoards>;

/** How an instrument stands to the boards, and to the fit. */
export interface InstrumentFit extends Agreement {
  readonly kind: InstrumentKind;
  readonly isInFit: boolean;
  /** The fit of boards and this instrument, from which its own misreads are told. */
  readonly trial: BoardFit;
}

export interface EverythingFit extends Fit {
  readonly instruments: readonly InstrumentFit[];
  /** What the ridges came to; null where none were read. */
  readonly marks: MarkSequences | null;
  /** How many ridges tell of heights: those of patterns whose marks are known by their knives. */
  readonly namedRidges: number;
  readonly notices: readonly Notice[];
}

/**
 * Fits boards and instruments together. Each instrument is first held against the boards: one that
 * contradicts them is left out and said so, not averaged in; so are all, if they contradict each
 * other.
 */
export function fitEverything(
  machine: Machine,
  readings: readonly Reading[],
  raw: RawInstruments,
  insistence: FitInsistence,
): EverythingFit {
  const base = fitBoards(machine, measured(readings, NO_INSTRUMENTS, null), insistence);
  const judge = (instruments: InstrumentReadings, marks: MarkSequences | null) =>
    tryOut(machine, measured(readings, instruments, marks), base, insistence);
  const found: InstrumentFit[] = [];
  let accepted = NO_INSTRUMENTS;
  for (const kind of ['gauge', 'carry'] as const) {
    if (raw[kind].length === 0) continue;
    const tried = { kind, ...judge({ ...NO_INSTRUMENTS, [kind]: raw[kind] }, null) };
    found.push(tried);
    if (tried.isInFit) accepted = { ...accepted, [kind]: raw[kind] };
  }
  const sequences = raw.ridges.length > 0 ? markSequences(machine, raw.ridges) : null;
  const notices: Notice[] = [...(sequences?.notices ?? [])];
  let namedRidges = 0;
  if (sequences) {
    const isMore = accepted !== NO_INSTRUMENTS;
    const before = isMore
      ? fitBoards(machine, measured(readings, accepted, null), insistence).boards
      : base.boards;
    const {
      isContradicted,
      named,
      notices: told,
      ...marks
    } = settledMarks(machine, sequences, before);
    notices.push(...told);
    namedRidges = named;
    if (isContradicted && !hasErrors(notices)) {
      const against = { pValue: 0, agrees: false, widest: null, isInFit: false };
      found.push({ kind: 'marks', ...against, trial: base.boards });
    } else if (marks.marks.length + marks.hidden.length > 0) {
      const tried = { kind: 'marks' as const, ...judge(marks, sequences) };
      found.push(tried);
      if (tried.isInFit) accepted = { ...accepted, marks: marks.marks, hidden: marks.hidden };
    }
  }
  if (found.every(({ isInFit }) => !isInFit)) {
    return { ...base, instruments: found, marks: sequences, namedRidges, notices };
  }
  const several = found.filter(({ isInFit }) => isInFit).length > 1;
  if (several && judge(accepted, sequences).agrees === false) {
    const apart = found.map((each) => ({ ...each, agrees: false, isInFit: false }));
    return { ...base, instruments: apart, marks: sequences, namedRidges, notices };
  }
  const final = fitBoards(machine, measured(readings, accepted, sequences), insistence);
  return { ...final, instruments: found, marks: sequences, namedRidges, notices };
}

function measured(
  readings: readonly Reading[],
  instruments: InstrumentReadings,
  marks: MarkSequences | null,
): Measured {
  return { readings, instruments, noises: { marks: marks && ridgeNoise(marks.noise) } };
}

/** Boards and instruments together, the boards' own readings staying in or out as they were. */
function tryOut(
  machine: Machine,
  all: Measured,
  base: Fit,
  insistence: FitInsistence,
): Omit<InstrumentFit, 'kind'> {
  const { kept, noise } = base.boards.robust.fit;
  const out = all.readings.map((_, index) => index).filter((index) => !kept.includes(index));
  const trial = fitBoards(machine, all, {
    ...insistence,
    exclude: new Set(out),
    use: new Set(kept),
  }).boards;
  const { model, problem, noises, robust } = trial;
  const { fit, rejected } = robust;
  const agreement = agreementOf({
    model,
    problem,
    noises,
    fit,
    rejected,
    reading: noise[0]!,
  });
  const isBroken = trial.brokenBounds.length > 0;
  const agrees = isBroken ? false : agreement.agrees;
  const pValue = isBroken ? 0 : agreement.pValue;
  return { pValue, agrees, widest: agreement.widest, isInFit: agrees !== false, trial };
}

interface SettledMarks extends InstrumentReadings {
  readonly isContradicted: boolean;
  /** How many ridges are known by their knives. */
  readonly named: number;
  readonly notices: readonly Notice[];
}

/** What the marks say of heights, as far as it is known whose they are and they do not contradict. */
function settledMarks(machine: Machine, sequences: MarkSequences, boards: BoardFit): SettledMarks {
  const { sd } = sequences.noise;
  const shapes = shapesOfFit(boards);
  const { settled, notices } = settleMarks(machine, sequences, shapes);
  return {
    ...NO_INSTRUMENTS,
    notices: [...notices, ...whoseMarks(machine, settled, shapes && 'the boards')],
    named: settled.reduce((sum, { order, sequence }) => sum + (order ? ridgesIn(sequence) : 0), 0),
    isContradicted: settled.some((each) => each.isContradicted),
    // The fit takes a knife for a line and a bow, and edges stray from that.
    marks: settled.flatMap(({ rows }) =>
      rows.map((row) => ({ ...row, scale: withForm(row, row.scale * sd) / sd })),
    ),
    hidden: settled.flatMap(({ hidden }) => hidden),
  };
}

function ridgesIn({ pattern }: MarkSequence): number {
  return pattern.places.filter((place) => place !== null).length;
}
