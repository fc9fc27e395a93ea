/**
 * The closed loop of several instruments in one fit: the same block is measured by boards and calipers,
 * by a dial indicator, by a carried rule and by its knife marks, and what the program makes of each
 * alone and of all together is held against how the knives really stand.
 */
import type { Result } from '../../src/record/result.js';
import { USUAL_CALIPER } from './caliper.js';
import { feedPerRevolution } from './cutting.js';
import { narrowStrips, stationsOf } from './designs.js';
import {
  type CarryingRule,
  carryRule,
  carryText,
  type Falsely,
  gaugeEdges,
  gaugeText,
  type Indicator,
  tableBelowAll,
  USUAL_INDICATOR,
  USUAL_RULE,
} from './indicator.js';
import { type Loupe, marksText, type RidgeRow, readRidges, USUAL_LOUPE } from './loupe.js';
import { feedingOf, ridgesOf } from './planing.js';
import { type Random, seeded } from './random.js';
import { drawShop, type Shop, type Spread, USUAL_SPREAD } from './shop.js';
import { measure, type Truth, truthOf } from './simulate.js';
import { median, share } from './statistics.js';
import { csvText, machineText, type Row } from './texts.js';

/** The texts of one job, each null where that instrument was not used. */
export interface InstrumentTexts {
  readonly machine: string;
  readonly boards: string | null;
  readonly gauge: string | null;
  readonly carry: string | null;
  readonly marks: string | null;
}

export interface Said {
  readonly result: Result | null;
  /** Codes of all notices. */
  readonly codes: readonly string[];
}

/** The program under test. */
export type AnalyseAll = (texts: InstrumentTexts) => Promise<Said>;

export type Instrument = 'boards' | 'gauge' | 'carry' | 'marks';

/** What is wrong with one of the instruments, if anything. */
export type Contradiction =
  | 'none'
  /** The gauge has one knife a tenth of a millimetre too far out at every place. */
  | 'gauge off by 0.1'
  /** The carry has one knife a tenth of a millimetre too far out at every place. */
  | 'carry off by 0.1'
  /** Whoever wrote down the boards took each of two knives for the other. */
  | 'labels exchanged';

export interface InstrumentsOptions {
  readonly machines: number;
  /** Machine i is drawn from seed + i, so that one can be drawn again by itself. */
  readonly seed: number;
  /** Machine i has the (i mod length)-th of these numbers of knives. */
  readonly knives: readonly number[];
  readonly instruments: readonly Instrument[];
  readonly spread?: Partial<Spread>;
  readonly shop?: Partial<Shop>;
  /** Highest less lowest knife at any station, at most, mm: others are drawn again. */
  readonly within?: number;
  readonly indicator?: Partial<Indicator>;
  readonly rule?: Partial<CarryingRule>;
  readonly loupe?: Partial<Loupe>;
  readonly contradiction?: Contradiction;
  /** What stands above every text. */
  readonly comments?: readonly string[];
}

export interface InstrumentsRecord {
  readonly seed: number;
  readonly truth: Truth;
  readonly said: Said;
}

/** Shares are from 0 to 1; lengths in mm. */
export interface InstrumentsStatistics {
  readonly machines: number;
  readonly withoutResult: number;
  /** Knife ends of which something is told, of all. */
  readonly told: number;
  readonly coverage: number;
  readonly medianU: number;
  readonly rmsError: number;
  readonly wrongVerdicts: number;
  readonly tiltCoverage: number;
  readonly medianTiltU: number;
}

const KNIFE_TOLERANCE = 0.05;

/** Ridges are read over ten revolutions, this far from the leading end. */
const FROM = 150;
const REVOLUTIONS = 10;
const FEED_OFF_SD = 0.02;

const OFF_BY = 0.1;

/** How far below the lowest edge the outfeed table is set. */
const CLEAR = 0.01;

/** How far apart two knives must stand somewhere for an exchange of theirs to be one worth finding. */
const APART = 0.1;

export function drawInstrumentsShop(
  random: Random,
  knives: number,
  options: InstrumentsOptions,
): Shop {
  for (;;) {
    const drawn = drawShop(random, knives, { ...USUAL_SPREAD, ...options.spread });
    const shop = { ...drawn, ...options.shop };
    const widest = shop.adjusters.map((_, end) => {
      const heights = shop.knives.map((knife) => (end === 0 ? knife.front : knife.back));
      return Math.max(...heights) - Math.min(...heights);
    });
    const isApart = options.contradiction !== 'labels exchanged' || Math.max(...widest) >= APART;
    if (isApart && Math.max(...widest) <= (options.within ?? Infinity)) return shop;
  }
}

/**
 * The texts that one machine's owner would write down, from a seed. Each instrument has chance of its
 * own, so that it reads the same whether or not the others are used.
 */
export function drawTexts(shop: Shop, seed: number, options: InstrumentsOptions): InstrumentTexts {
  const chanceOf = (instrument: Instrument) =>
    seeded(4 * seed + ['boards', 'gauge', 'carry', 'marks'].indexOf(instrument));
  const has = (instrument: Instrument) => options.instruments.includes(instrument);
  const { contradiction = 'none', comments = [] } = options;
  const xs = stationsOf(shop, 5);
  const falsely = (wanted: Contradiction): Falsely => {
    const random = seeded(seed);
    if (contradiction !== wanted) return {};
    return { [random.pick(shop.knives).id]: random.pick([-OFF_BY, OFF_BY]) };
  };
  const indicator = { ...USUAL_INDICATOR, ...options.indicator };
  // A table low enough that every knife carries the rule, even one said to be lower than it is.
  const below = contradiction === 'carry off by 0.1' ? OFF_BY + CLEAR : CLEAR;
  const rule = { ...USUAL_RULE, table: tableBelowAll(shop, xs, below), ...options.rule };
  const gauge = () =>
    gaugeEdges(shop, xs, indicator, chanceOf('gauge'), falsely('gauge off by 0.1'));
  const carry = () => carryRule(shop, xs, rule, chanceOf('carry'), falsely('carry off by 0.1'));
  return {
    machine: machineText(shop, 'Invented planer', comments),
    boards: has('boards')
      ? csvText(boardsOf(shop, chanceOf('boards'), contradiction), comments)
      : null,
    gauge: has('gauge') ? gaugeText(gauge(), comments) : null,
    carry: has('carry') ? carryText(carry(), comments) : null,
    marks: has('marks') ? marksText(marksOf(shop, xs, chanceOf('marks'), options), comments) : null,
  };
}

function boardsOf(shop: Shop, random: Random, contradiction: Contradiction): Row[] {
  const caliper = { ...USUAL_CALIPER, misreadRate: 0 };
  const { rows } = measure(shop, narrowStrips(shop), random, { caliper });
  if (contradiction !== 'labels exchanged') return [...rows];
  const [a, b] = farthestApart(shop);
  const exchanged = new Map([
    [a, b],
    [b, a],
  ]);
  return rows.map((row) => ({ ...row, knife: exchanged.get(row.knife) ?? row.knife }));
}

/** The highest and the lowest knife at the end at which they stand farther apart. */
function farthestApart(shop: Shop): readonly [string, string] {
  const pairs = (['front', 'back'] as const).map((end) => {
    const sorted = [...shop.knives].sort((a, b) => a[end] - b[end]);
    const [low, high] = [sorted[0]!, sorted.at(-1)!];
    return { apart: high[end] - low[end], ids: [low.id, high.id] as const };
  });
  return pairs[0]!.apart >= pairs[1]!.apart ? pairs[0]!.ids : pairs[1]!.ids;
}

function marksOf(
  shop: Shop,
  xs: readonly number[],
  random: Random,
  options: InstrumentsOptions,
): RidgeRow[] {
  const from = FROM + feedPerRevolution(shop) * random.uniform();
  // The rollers drive the board a little faster or slower than the machine file says.
  const feedSpeed = shop.feedSpeed * (1 + random.normal(FEED_OFF_SD));
  const feeding = feedingOf({ ...shop, feedSpeed }, {}, random);
  const loupe = { ...USUAL_LOUPE, ...options.loupe };
  const ids = shop.knives.map(({ id }) => id);
  return xs.flatMap((x) => {
    const ridges = ridgesOf(shop, x, { from, revolutions: REVOLUTIONS, feeding });
    return readRidges(loupe, { board: 'F1', x }, ridges, ids, random);
  });
}

export async function runInstrumentsLoop(
  analyse: AnalyseAll,
  options: InstrumentsOptions,
): Promise<InstrumentsRecord[]> {
  const records: InstrumentsRecord[] = [];
  for (let i = 0; i < options.machines; i++) {
    const seed = options.seed + i;
    const knives = options.knives[i % options.knives.length]!;
    const shop = drawInstrumentsShop(seeded(seed), knives, options);
    const said = await analyse(drawTexts(shop, seed, options));
    records.push({ seed, truth: truthOf(shop), said });
  }
  return records;
}

export function summariseInstruments(records: readonly InstrumentsRecord[]): InstrumentsStatistics {
  const ends = records.flatMap(endsOf);
  const known = ends.filter(({ offset, U }) => offset !== null && U !== null);
  const errors = known.map(({ offset, truth }) => offset! - truth);
  const tilts = records.flatMap(({ said, truth }) => {
    const { tilt = null, U = null } = said.result?.bed ?? {};
    return tilt === null || U === null ? [] : [{ error: Math.abs(tilt - truth.bedTilt), U }];
  });
  return {
    machines: records.length,
    withoutResult: records.filter(({ said }) => said.result === null).length,
    told: known.length / ends.length,
    coverage: share(known, ({ offset, U, truth }) => Math.abs(offset! - truth) <= U!),
    medianU: median(known.map(({ U }) => U!)),
    rmsError: Math.sqrt(errors.reduce((sum, error) => sum + error ** 2, 0) / errors.length),
    wrongVerdicts: share(ends, isVerdictWrong),
    tiltCoverage: share(tilts, ({ error, U }) => error <= U),
    medianTiltU: median(tilts.map(({ U }) => U)),
  };
}

/** The share of machines with a notice of one of these codes. */
export function shareNoticed(
  records: readonly InstrumentsRecord[],
  codes: readonly string[],
): number {
  return share(records, ({ said }) => said.codes.some((code) => codes.includes(code)));
}

/** How much narrower U became, machine by machine and end by end: the median of the ratios. */
export function medianRatioOfU(
  narrow: readonly InstrumentsRecord[],
  wide: readonly InstrumentsRecord[],
): number {
  const ratios = narrow.flatMap((record, i) => {
    const others = endsOf(wide[i]!);
    return endsOf(record).flatMap(({ U }, end) => {
      const other = others[end]!.U;
      return U === null || other === null ? [] : [U / other];
    });
  });
  return median(ratios);
}

/** Every true end of a machine with what was said of it. */
function endsOf({ said, truth }: InstrumentsRecord) {
  return truth.offsets.flatMap(({ id, front, back }) => {
    const ends = said.result?.knives.find((knife) => knife.id === id)?.ends;
    return [front, back].map((offset, i) => ({
      truth: offset,
      offset: ends?.[i]?.offset ?? null,
      U: ends?.[i]?.U ?? null,
      verdict: ends?.[i]?.verdict ?? 'undecided',
    }));
  });
}

function isVerdictWrong({ truth, verdict }: ReturnType<typeof endsOf>[number]): boolean {
  const inside = Math.abs(truth) <= KNIFE_TOLERANCE;
  return (verdict === 'inside' && !inside) || (verdict === 'outside' && inside);
}
