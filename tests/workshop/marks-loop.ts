/**
 * The closed loop of the knife marks: a block is drawn, a board planed on true trochoids, its ridges
 * read with a loupe, and what the program makes of them is held against how the knives really stand.
 */
import type { MarksReport, MarksStation } from '../../src/record/marks.js';
import type { Result } from '../../src/record/result.js';
import { feedPerRevolution } from './cutting.js';
import { narrowStrips } from './designs.js';
import { type Loupe, marksText, type RidgeRow, readRidges, USUAL_LOUPE } from './loupe.js';
import { feedingOf, ridgesOf, showsFrom, trulyShowing, type Unevenness } from './planing.js';
import { type Random, seeded } from './random.js';
import { edgeAt, type Shop, shopWith, type TrueKnife } from './shop.js';
import { measure } from './simulate.js';
import { median, share } from './statistics.js';
import { lineOf, machineText } from './texts.js';

/** What the loop reads of what the program says. */
export interface MarksLike {
  readonly report: MarksReport | null;
  /** Codes of all notices. */
  readonly errors: readonly string[];
}

/** The program under test: texts in, what marks say out. */
export interface MarksProgram {
  marks(machineToml: string, marksCsv: string, result: Result | null): Promise<MarksLike>;
  /** A result from the thicknesses of test boards. */
  boards(machineToml: string, csv: string): Promise<Result | null>;
}

export interface MarksLoopOptions {
  readonly machines: number;
  /** Machine i is drawn from seed + i, so that one can be drawn again by itself. */
  readonly seed: number;
  readonly knives: number;
  /** Highest less lowest knife at any x is at most this, mm. */
  readonly range: number;
  /** Whether the heights go to both ends of the range, or stand anywhere within it. */
  readonly spanning?: boolean;
  /** How far each knife stands from where it would be evenly spaced, degrees, at most. */
  readonly unequal?: number;
  readonly stations: readonly number[];
  readonly boards?: number;
  readonly revolutions?: number;
  readonly uneven?: Unevenness;
  /** What the true feed differs from the machine file's: standard deviation, as a share. */
  readonly feedOffSd?: number;
  readonly loupe?: Partial<Loupe>;
  /** Whether boards were measured with calipers before. */
  readonly withResult?: boolean;
  /** What stands above every text. */
  readonly comments?: readonly string[];
}

/** Texts of one job as its owner would write them, and the shop as it really is. */
export interface MarksJob {
  readonly shop: Shop;
  readonly machine: string;
  readonly marks: string;
  readonly rows: readonly RidgeRow[];
  /** Thicknesses of hand-cut strips. */
  readonly boards: string;
}

/** How the knives really stand at one x, mm. */
export interface StationTruth {
  readonly x: number;
  readonly heights: ReadonlyMap<string, number>;
  readonly showing: ReadonlySet<string>;
  /** For each hidden knife, how high it could be without leaving a mark. */
  readonly showsFrom: ReadonlyMap<string, number>;
}

export interface MarksRecord {
  readonly seed: number;
  readonly truth: readonly StationTruth[];
  readonly rows: readonly RidgeRow[];
  /** Of the first row, in the file. */
  readonly firstLine: number;
  readonly said: MarksLike;
}

/** Shares are from 0 to 1; lengths in mm. */
export interface MarksStatistics {
  readonly stations: number;
  /** Stations of which nothing is said, or with ambiguous marks. */
  readonly silent: number;
  readonly ambiguous: number;
  /** Stations that name exactly the knives that show, of those not ambiguous. */
  readonly showingRight: number;
  /** Offsets within their U, of those given; and how many were given. */
  readonly coverage: number;
  readonly offsets: number;
  readonly medianU: number;
  /** The largest standard uncertainty of any offset given. */
  readonly mostUncertain: number;
  /** Stations with an offset off by twice its U and more, or a knife named that leaves no mark. */
  readonly wrong: number;
  /** Truly hidden knives, and how many of them were given a height. */
  readonly hidden: number;
  readonly hiddenWithHeight: number;
  /** Limits given to knives, the share that hold, and that lie within 5 µm of the exact bound. */
  readonly limits: number;
  readonly limitsTrue: number;
  readonly limitsNear: number;
  readonly limitsFarthest: number;
  /** Truly hidden knives without a limit, at stations not ambiguous. */
  readonly withoutLimit: number;
  readonly withErrors: number;
  /** Wrong rows (misread, doubled) that were set aside; right ones that were. */
  readonly wrongRows: number;
  readonly wrongRowsFound: number;
  readonly goodRowsSetAside: number;
  /** Root mean square of what the ridges were read to, as the program says. */
  readonly readingSd: number;
}

/** The block of all jobs with marks: 4 mm a revolution, radius 48 mm. */
const BLOCK = { radius: 48, speed: 4000, feedSpeed: 16_000 } as const;

const FEED_OFF_SD = 0.02;
const REVOLUTIONS = 10;

/** Where on the board reading begins, mm. */
const FROM = 120;

const NEAR = 0.005;

export function drawMarksShop(random: Random, options: MarksLoopOptions): Shop {
  const { knives: count, range, unequal } = options;
  const ends = [0, 1].map(() => heightsWithin(random, count, range, options.spanning ?? false));
  const knives = Array.from({ length: count }, (_, k): TrueKnife => {
    return {
      id: String(k + 1),
      front: ends[0]![k]!,
      back: ends[1]![k]!,
      bow: 0,
      response: [0, 0],
    };
  });
  if (!unequal) return shopWith(knives, BLOCK);
  const angles = knives.map((_, k) =>
    k === 0 ? 0 : Math.round((360 * k) / count + unequal * (2 * random.uniform() - 1)),
  );
  return shopWith(knives, { ...BLOCK, angles });
}

function heightsWithin(random: Random, count: number, range: number, spanning: boolean): number[] {
  const heights = Array.from({ length: count }, () => range * (random.uniform() - 0.5));
  if (!spanning || count < 2) return heights;
  const lowest = Math.floor(count * random.uniform());
  const highest = (lowest + 1 + Math.floor((count - 1) * random.uniform())) % count;
  return heights.with(lowest, -range / 2).with(highest, range / 2);
}

/** Everything that belongs to one machine of the loop, from its seed. */
export function drawJob(seed: number, options: MarksLoopOptions): MarksJob {
  const random = seeded(seed);
  const described = drawMarksShop(random, options);
  const off = random.normal(options.feedOffSd ?? FEED_OFF_SD);
  const shop = { ...described, feedSpeed: described.feedSpeed * (1 + off) };
  const rows = readBoards(shop, random, options);
  const { comments = [] } = options;
  const caliper = { misreadRate: 0 };
  return {
    shop,
    machine: machineText(described, 'Invented planer', comments),
    marks: marksText(rows, comments),
    rows,
    boards: measure(shop, narrowStrips(shop), random, { caliper, comments }).csv,
  };
}

function readBoards(shop: Shop, random: Random, options: MarksLoopOptions): RidgeRow[] {
  const loupe = { ...USUAL_LOUPE, ...options.loupe };
  const ids = shop.knives.map(({ id }) => id);
  const revolutions = options.revolutions ?? REVOLUTIONS;
  return Array.from({ length: options.boards ?? 1 }, (_, b) => {
    const feeding = feedingOf(shop, options.uneven ?? {}, random);
    const from = FROM + feedPerRevolution(shop) * random.uniform();
    return options.stations.flatMap((x) => {
      const ridges = ridgesOf(shop, x, { from, revolutions, feeding });
      return readRidges(loupe, { board: `F${b + 1}`, x }, ridges, ids, random);
    });
  }).flat();
}

export function truthAt(shop: Shop, x: number): StationTruth {
  const showing = trulyShowing(shop, x);
  const idOf = (k: number) => shop.knives[k]!.id;
  const hidden = shop.knives.map((_, k) => k).filter((k) => !showing.has(k));
  return {
    x,
    heights: new Map(shop.knives.map((knife) => [knife.id, edgeAt(shop, knife, x)])),
    showing: new Set([...showing].map(idOf)),
    showsFrom: new Map(hidden.map((k) => [idOf(k), showsFrom(shop, x, k)])),
  };
}

export async function runMarksLoop(
  program: MarksProgram,
  options: MarksLoopOptions,
): Promise<MarksRecord[]> {
  const records: MarksRecord[] = [];
  for (let i = 0; i < options.machines; i++) {
    const seed = options.seed + i;
    const job = drawJob(seed, options);
    const result = options.withResult ? await program.boards(job.machine, job.boards) : null;
    const said = await program.marks(job.machine, job.marks, result);
    const truth = options.stations.map((x) => truthAt(job.shop, x));
    const firstLine = lineOf(0, options.comments);
    records.push({ seed, truth, rows: job.rows, firstLine, said });
  }
  return records;
}

/** One station as it is and as it was told; null where nothing was told. */
interface Seen {
  readonly truth: StationTruth;
  readonly told: MarksStation | null;
}

export function summariseMarks(records: readonly MarksRecord[]): MarksStatistics {
  const seen = records.flatMap(({ truth, said }) =>
    truth.map((each): Seen => {
      return { truth: each, told: said.report?.stations.find(({ x }) => x === each.x) ?? null };
    }),
  );
  const settled = seen.filter(({ told }) => told !== null && !told.ambiguous);
  const offsets = seen.flatMap(offsetsOf);
  const limits = seen.flatMap(limitsOf);
  const hidden = seen.flatMap(hiddenOf);
  return {
    stations: seen.length,
    silent: share(seen, ({ told }) => told === null),
    ambiguous: share(seen, ({ told }) => told?.ambiguous ?? false),
    showingRight: share(settled, isShowingRight),
    coverage: share(offsets, ({ error, U }) => error <= U),
    offsets: offsets.length,
    medianU: median(offsets.map(({ U }) => U)),
    mostUncertain: Math.max(...offsets.map(({ u }) => u)),
    wrong: share(seen, isWrong),
    hidden: hidden.length,
    hiddenWithHeight: hidden.filter(({ offset }) => offset !== null).length,
    limits: limits.length,
    limitsTrue: share(limits, ({ height, atMost }) => height <= atMost),
    limitsNear: share(limits, ({ bound, atMost }) => Math.abs(atMost - bound) <= NEAR),
    limitsFarthest: Math.max(...limits.map(({ bound, atMost }) => Math.abs(atMost - bound))),
    withoutLimit: hidden.filter(({ isSettled, atMost }) => isSettled && atMost === null).length,
    withErrors: share(records, ({ said }) => said.errors.length > 0),
    ...rowStatistics(records),
  };
}

/** Offsets given, each with its distance from the truth against the mean of the same knives. */
function offsetsOf(seen: Seen) {
  const { truth, told } = seen;
  if (!told) return [];
  return told.knives.flatMap(({ id, offset, u, U }) =>
    offset === null || u === null || U === null
      ? []
      : [{ error: Math.abs(offset - (truth.heights.get(id)! - meanOfTold(seen))), u, U }],
  );
}

function limitsOf(seen: Seen) {
  const { truth, told } = seen;
  return (told?.knives ?? []).flatMap(({ id, atMost }) => {
    if (atMost === null) return [];
    const height = truth.heights.get(id)! - meanOfTold(seen);
    // A mark too narrow to be seen is of a knife just above the height from which on it shows.
    const from = truth.showsFrom.get(id);
    return [{ height, atMost, bound: from === undefined ? height : from - meanOfTold(seen) }];
  });
}

function hiddenOf({ truth, told }: Seen) {
  return [...truth.showsFrom.keys()].map((id) => {
    const knife = told?.knives.find((each) => each.id === id);
    return {
      offset: knife?.offset ?? null,
      atMost: knife?.atMost ?? null,
      isSettled: told !== null && !told.ambiguous,
    };
  });
}

/** Offsets are told against the mean of the knives that are told to show. */
function meanOfTold({ truth, told }: Seen): number {
  const heights = told!.finishing.map((id) => truth.heights.get(id)!);
  return heights.reduce((sum, height) => sum + height, 0) / heights.length;
}

function isShowingRight({ truth, told }: Seen): boolean {
  const named = new Set(told!.finishing);
  return named.size === truth.showing.size && [...named].every((id) => truth.showing.has(id));
}

function isWrong(seen: Seen): boolean {
  const { truth, told } = seen;
  if (!told || told.ambiguous) return false;
  if (told.finishing.some((id) => !truth.showing.has(id))) return true;
  return offsetsOf(seen).some(({ error, U }) => error > 2 * U);
}

function rowStatistics(records: readonly MarksRecord[]) {
  let [wrongRows, found, good, goodSetAside] = [0, 0, 0, 0];
  let [variances, read] = [0, 0];
  for (const { rows, firstLine, said } of records) {
    const setAside = new Set(said.report?.reading?.setAside.map(({ line }) => line));
    rows.forEach(({ wrong }, i) => {
      const isAside = setAside.has(firstLine + i);
      // Of a ridge written down twice either reading may go.
      const isWrong = wrong === 'misread' || wrong === 'doubled';
      if (isWrong) {
        wrongRows++;
        if (isAside || (wrong === 'doubled' && setAside.has(firstLine + i - 1))) found++;
      } else {
        good++;
        if (isAside && rows[i + 1]?.wrong !== 'doubled') goodSetAside++;
      }
    });
    if (said.report?.reading) {
      variances += said.report.reading.sd ** 2;
      read++;
    }
  }
  return {
    wrongRows,
    wrongRowsFound: wrongRows === 0 ? Number.NaN : found / wrongRows,
    goodRowsSetAside: goodSetAside / good,
    readingSd: Math.sqrt(variances / read),
  };
}
