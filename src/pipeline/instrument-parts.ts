import type { CarryReading, GaugeReading, Ridge } from '../boards/instrument-reading.js';
import type { BoardFit } from '../decide/board-fit.js';
import { knownOf } from '../decide/standing.js';
import type { Agreement } from '../diagnose/contradiction.js';
import { residual } from '../fit/estimate.js';
import type { InstrumentKind } from '../model/instruments.js';
import { bodyCombinations } from '../model/quantities.js';
import type { Notice } from '../notices/notice.js';
import type {
  BodyStanding,
  InstrumentSetAside,
  InstrumentStanding,
  Measured,
  Result,
} from '../record/result.js';
import type { Spoken } from '../units/spoken.js';
import type { EverythingFit, InstrumentFit } from './fit-everything.js';
import type { RawInstruments } from './read-instruments.js';
import { ridgesRead } from './ridges-read.js';

interface Raw {
  readonly raw: RawInstruments;
  readonly excluded: RawInstruments;
}

/** What became of each instrument's readings. */
export function instrumentStandings(
  everything: EverythingFit,
  { raw, excluded }: Raw,
): InstrumentStanding[] {
  const counts = { gauge: raw.gauge, carry: raw.carry, marks: raw.ridges };
  const out = { gauge: excluded.gauge, carry: excluded.carry, marks: excluded.ridges };
  return (['gauge', 'carry', 'marks'] as const).flatMap((kind): InstrumentStanding[] => {
    const left = out[kind].map(excludedEntry);
    const total = counts[kind].length + left.length;
    if (total === 0) return [];
    const fit = everything.instruments.find((each) => each.kind === kind);
    const isInFit = fit?.isInFit ?? false;
    // Of an instrument that contradicts the boards no reading can be called the wrong one.
    const rows = isInFit ? rowsAside(everything, kind) : [];
    const wrong = kind === 'marks' ? ridgesAside(everything, raw) : rows;
    const fitting = kind === 'marks' ? everything.namedRidges : total - left.length - wrong.length;
    return [
      {
        kind,
        total,
        ...noiseOfKind(everything, kind),
        used: isInFit ? fitting : 0,
        agrees: fit?.agrees ?? null,
        pValue: fit?.pValue ?? null,
        setAside: [...left, ...wrong],
      },
    ];
  });
}

/** The noise found of a kind: in the fit, or of marks by their own patterns. */
function noiseOfKind(
  { boards, marks }: EverythingFit,
  kind: InstrumentKind,
): Pick<InstrumentStanding, 'sd' | 'sdFreedom'> {
  const place = boards.model.kinds.indexOf(kind);
  const found = boards.robust.fit.noise[place] ?? (kind === 'marks' ? marks?.noise : undefined);
  return { sd: found?.sd ?? null, sdFreedom: found?.degreesOfFreedom ?? null };
}

/** Readings in the fit that do not go with the others. */
function rowsAside({ boards }: EverythingFit, kind: InstrumentKind): InstrumentSetAside[] {
  const { model, problem, robust } = boards;
  return robust.rejected.flatMap((index): InstrumentSetAside[] => {
    const row = model.rows[index - model.readings.length];
    if (row?.kind !== kind || !row.source) return [];
    const off = residual(problem, robust.fit.parameters, index);
    return [{ ...entry(row.source), residual: off, reason: 'misread' }];
  });
}

function ridgesAside({ marks }: EverythingFit, { ridges }: RawInstruments): InstrumentSetAside[] {
  if (!marks) return [];
  return ridgesRead(ridges, marks).setAside.map(({ file, line, x, y, reason }) => ({
    file,
    line,
    x,
    knife: null,
    value: y,
    residual: null,
    reason,
  }));
}

function excludedEntry(source: GaugeReading | CarryReading | Ridge): InstrumentSetAside {
  return { ...entry(source), residual: null, reason: 'excluded' };
}

function entry(
  source: GaugeReading | CarryReading | Ridge,
): Pick<InstrumentSetAside, 'file' | 'line' | 'x' | 'knife' | 'value'> {
  const { file, line, x, knife } = source;
  const value = 'reading' in source ? source.reading : 'carry' in source ? source.carry : source.y;
  return { file, line, x, knife, value };
}

/** Bed and knives against the block's body, where a gauge was held to it. */
export function bodyParts(boards: BoardFit): Pick<Result, 'body'> {
  const combinations = bodyCombinations(boards.model.layout, boards.group);
  if (!combinations || boards.group.length < 2) return {};
  const known = knownOf(boards);
  const measured = (combination: Float64Array): Measured => {
    const found = known(combination);
    return { value: found?.value ?? null, u: found?.u ?? null, U: found?.U ?? null };
  };
  const body: BodyStanding = {
    bedTilt: measured(combinations.bedTilt),
    slant: measured(combinations.slant),
  };
  return { body };
}

const NAMES: Readonly<Record<InstrumentKind, string>> = {
  gauge: 'the gauge',
  carry: 'the carries',
  marks: 'the knife marks',
};

/** What has to be said of the instruments: contradictions first, then single misreads. */
export function instrumentNotices(everything: EverythingFit, spoken: Spoken): Notice[] {
  const against = everything.instruments.filter(({ agrees }) => agrees === false);
  return [
    ...against.map((each) => contradiction(each, against.length, spoken)),
    ...everything.instruments.flatMap(({ kind, agrees }) =>
      agrees === false ? [] : rowsAside(everything, kind).map((each) => aside(each, kind, spoken)),
    ),
  ];
}

function contradiction(
  { kind, trial, pValue, widest }: InstrumentFit,
  count: number,
  spoken: Spoken,
): Notice {
  const others = count > 1 ? 'the boards and the other instruments' : 'the boards';
  const chance = pValue ? ` (probability ${pValue.toExponential(0)})` : '';
  const source = trial.model.rows.find((row) => row.kind === kind)?.source;
  return {
    code: 'instruments-disagree',
    severity: 'warning',
    message:
      `${NAMES[kind]} and ${others} contradict each other beyond chance${chance}${where(trial, widest, spoken)}; ` +
      'they are not averaged: heights are without them, and no moves are given',
    ...(source ? { file: source.file } : {}),
    hint: `check the knife numbers in both, and that nothing was turned or moved between them${kind === 'gauge' ? ', and the zero of the gauge' : ''}; then measure again`,
  };
}

/** Where the two differ most, in words; nothing where that cannot be said. */
function where({ brokenBounds, model }: BoardFit, widest: Agreement['widest'], spoken: Spoken) {
  const { knives } = model.layout;
  const [broken] = brokenBounds;
  if (broken) {
    return `: knife ${knives[broken.knife]} at x ${spoken.place(broken.x)} is higher by the boards than it can be`;
  }
  if (!widest) return '';
  const { knife, x, byBoards, byInstruments } = widest;
  const height = (mm: number) => `${spoken.size(Math.abs(mm))} ${mm < 0 ? 'low' : 'proud'}`;
  return `: knife ${knives[knife]} at x ${spoken.place(x)} is ${height(byInstruments)} by it, ${height(byBoards)} by the boards`;
}

function aside(
  { file, line, x, knife, value, residual: off }: InstrumentSetAside,
  kind: InstrumentKind,
  spoken: Spoken,
): Notice {
  const away = off === null ? '' : `, ${spoken.size(Math.abs(off))} from what the others say`;
  return {
    code: 'set-aside',
    severity: 'warning',
    message: `set aside (misread): ${spoken.thickness(value)} of ${NAMES[kind]} at knife ${knife}, x ${spoken.place(x)}${away}`,
    file,
    line,
    hint: `measure that place again; --use ${file}:${line} keeps the reading`,
  };
}
