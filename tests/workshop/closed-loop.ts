/**
 * The closed loop: a machine is drawn, its boards are cut and measured, the program says what to
 * turn, a hand turns it, and what then really stands is compared with what was promised.
 */
import { type Caliper, USUAL_CALIPER } from './caliper.js';
import { fullBoards, narrowStrips, type Place, wideBoard } from './designs.js';
import { seeded } from './random.js';
import { drawShop, type Shop, type Spread, turnScrews, USUAL_SPREAD } from './shop.js';
import { type MeasuredBoards, measure, type Truth, truthOf, worstEnd } from './simulate.js';
import { median, share } from './statistics.js';
import { lineOf, machineText } from './texts.js';

type Verdict = 'inside' | 'outside' | 'undecided';

/** What the loop reads of a result. */
export interface ResultLike {
  readonly readings: { readonly setAside: readonly { readonly line: number }[] };
  readonly knives: readonly { readonly id: string; readonly ends: readonly EndLike[] }[];
  readonly bed: Quantity;
  readonly board: { readonly taper: number | null; readonly U: number | null };
  readonly moves: readonly {
    readonly knife: string;
    readonly x: number;
    readonly turns?: number;
  }[];
}

interface Quantity {
  readonly tilt: number | null;
  readonly U: number | null;
  readonly verdict: Verdict;
}

interface EndLike {
  readonly x: number;
  readonly offset: number | null;
  readonly U: number | null;
  readonly verdict: Verdict;
}

/** The program under test: two texts in, a result out, null where there is none. */
export type Analyse = (machineToml: string, csv: string) => Promise<ResultLike | null>;

export interface LoopOptions {
  readonly machines: number;
  /** Machine i is drawn from seed + i, so that one can be drawn again by itself. */
  readonly seed: number;
  /** Machine i has the (i mod length)-th of these numbers of knives. */
  readonly knives: readonly number[];
  readonly hand: 'narrow strips' | 'wide board';
  readonly rounds: number;
  readonly spread?: Partial<Spread>;
  readonly caliper?: Partial<Caliper>;
}

/** One machine's run through the loop. */
export interface LoopRecord {
  readonly seed: number;
  readonly truth: Truth;
  readonly result: ResultLike | null;
  readonly after: Truth;
  readonly readings: number;
  readonly misreadLines: readonly number[];
  /** The largest share of a board's readings that were misread. */
  readonly mostMisread: number;
}

/** Shares are from 0 to 1; lengths in mm. */
export interface LoopStatistics {
  readonly machines: number;
  /** Machines with every end within the tolerance after one adjustment. */
  readonly insideAfter: number;
  readonly endsInsideAfter: number;
  /** Ends whose interval ± U holds the truth, of the ends reported. */
  readonly coverage: number;
  readonly tiltCoverage: number;
  readonly taperCoverage: number;
  readonly medianU: number;
  /** Ends, and tilts, with a verdict other than undecided. */
  readonly decided: number;
  readonly tiltsDecided: number;
  /** Ends, and tilts, whose verdict is contrary to the truth, of all. */
  readonly wrong: number;
  readonly wrongTilts: number;
  readonly misreadsFound: number;
  readonly goodSetAside: number;
  readonly misreads: number;
  readonly goodReadings: number;
  readonly movesPerMachine: number;
  /** Seeds of machines of which not every end was told. */
  readonly withheld: readonly number[];
  /** Seeds of machines with a board of which more than a fifth was misread. */
  readonly misreadBoards: readonly number[];
  /** Seeds of machines not inside after adjustment. */
  readonly notInside: readonly number[];
}

const KNIFE_TOLERANCE = 0.05;
const BED_TOLERANCE = 0.1;

/** Where the full board is measured along its length, clear of its ends. */
const FULL_Y = [200, 300, 400];

export async function runLoop(analyse: Analyse, options: LoopOptions): Promise<LoopRecord[]> {
  const records: LoopRecord[] = [];
  for (let i = 0; i < options.machines; i++) {
    records.push(await runMachine(analyse, options, options.seed + i, i));
  }
  return records;
}

async function runMachine(
  analyse: Analyse,
  options: LoopOptions,
  seed: number,
  index: number,
): Promise<LoopRecord> {
  const random = seeded(seed);
  const knives = options.knives[index % options.knives.length]!;
  const shop = drawShop(random, knives, { ...USUAL_SPREAD, ...options.spread });
  const boards = measure(shop, placesOf(shop, options), random, {
    caliper: { ...USUAL_CALIPER, ...options.caliper },
  });
  const result = await analyse(machineText(shop), boards.csv);
  const moves = (result?.moves ?? []).map(({ knife, x, turns }) => ({
    knife,
    x,
    turns: turns ?? 0,
  }));
  return {
    seed,
    truth: truthOf(shop),
    result,
    after: truthOf(turnScrews(shop, moves, random)),
    readings: boards.rows.length,
    misreadLines: boards.misreadLines,
    mostMisread: mostMisread(boards),
  };
}

function mostMisread({ rows, misreadLines }: MeasuredBoards): number {
  const wrong = new Set(misreadLines);
  const names = [...new Set(rows.map((row) => row.board))];
  return Math.max(
    ...names.map((name) => {
      const lines = rows.flatMap((row, i) => (row.board === name ? [lineOf(i)] : []));
      return share(lines, (line) => wrong.has(line));
    }),
  );
}

function placesOf(shop: Shop, options: LoopOptions): Place[] {
  const hand = options.hand === 'narrow strips' ? narrowStrips : wideBoard;
  return [...hand(shop, 5, options.rounds), ...fullBoards(shop, FULL_Y)];
}

export function summarise(records: readonly LoopRecord[]): LoopStatistics {
  const ends = records.flatMap(endsOf);
  const known = ends.filter((end) => end.U !== null);
  const afters = records.flatMap((record) =>
    record.after.offsets.flatMap(({ front, back }) => [Math.abs(front), Math.abs(back)]),
  );
  const tilts = records.map(({ result, truth }) => ({
    ...comparison(result?.bed.tilt, result?.bed.U, truth.bedTilt),
    verdict: result?.bed.verdict ?? 'undecided',
  }));
  const tapers = records.map(({ result, truth }) =>
    comparison(result?.board.taper, result?.board.U, truth.taper),
  );
  return {
    machines: records.length,
    insideAfter: share(records, isInsideAfter),
    endsInsideAfter: share(afters, (size) => size <= KNIFE_TOLERANCE),
    coverage: share(known, isCovered),
    tiltCoverage: share(tilts, isCovered),
    taperCoverage: share(tapers, isCovered),
    medianU: median(known.map((end) => end.U!)),
    decided: share(ends, (end) => end.verdict !== 'undecided'),
    tiltsDecided: share(tilts, (tilt) => tilt.verdict !== 'undecided'),
    wrong: share(ends, (end) => isWrong(end.verdict, end.true, KNIFE_TOLERANCE)),
    wrongTilts: share(tilts, (tilt) => isWrong(tilt.verdict, tilt.true, BED_TOLERANCE)),
    ...misreadStatistics(records),
    movesPerMachine:
      records.reduce((n, r) => n + (r.result?.moves.length ?? 0), 0) / records.length,
    withheld: seedsWhere(records, (r) => endsOf(r).some((end) => end.found === null)),
    misreadBoards: seedsWhere(records, (r) => r.mostMisread > 0.2),
    notInside: seedsWhere(records, (r) => !isInsideAfter(r)),
  };
}

interface Comparison {
  readonly found: number | null;
  readonly U: number | null;
  readonly true: number;
}

function comparison(
  found: number | null | undefined,
  U: number | null | undefined,
  truth: number,
): Comparison {
  return { found: found ?? null, U: U ?? null, true: truth };
}

/** Every true end of a machine with what was said of it. */
function endsOf({ result, truth }: LoopRecord): (Comparison & { verdict: Verdict })[] {
  return truth.offsets.flatMap(({ id, front, back }) => {
    const ends = result?.knives.find((knife) => knife.id === id)?.ends ?? [];
    return [front, back].map((offset, i) => ({
      ...comparison(ends[i]?.offset, ends[i]?.U, offset),
      verdict: ends[i]?.verdict ?? 'undecided',
    }));
  });
}

function misreadStatistics(records: readonly LoopRecord[]) {
  let found = 0;
  let misreads = 0;
  let goodSetAside = 0;
  let goodReadings = 0;
  for (const { result, misreadLines, readings } of records) {
    const setAside = new Set(result?.readings.setAside.map(({ line }) => line));
    const hits = misreadLines.filter((line) => setAside.has(line)).length;
    found += hits;
    misreads += misreadLines.length;
    goodSetAside += setAside.size - hits;
    goodReadings += readings - misreadLines.length;
  }
  return {
    misreadsFound: misreads === 0 ? Number.NaN : found / misreads,
    goodSetAside: goodSetAside / goodReadings,
    misreads,
    goodReadings,
  };
}

function isInsideAfter(record: LoopRecord): boolean {
  return worstEnd(record.after) <= KNIFE_TOLERANCE;
}

function isCovered({ found, U, true: truth }: Comparison): boolean {
  return found !== null && U !== null && Math.abs(found - truth) <= U;
}

function isWrong(verdict: Verdict, truth: number, tolerance: number): boolean {
  const inside = Math.abs(truth) <= tolerance;
  return (verdict === 'inside' && !inside) || (verdict === 'outside' && inside);
}

function seedsWhere(
  records: readonly LoopRecord[],
  holds: (record: LoopRecord) => boolean,
): readonly number[] {
  return records.filter(holds).map((record) => record.seed);
}
