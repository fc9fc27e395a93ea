import type {
  Adjusters,
  Bed,
  Instrument,
  Machine,
  ScrewAdjusters,
  ShimAdjusters,
} from './machine.js';
import type { Description } from './schema.js';

type Described = Description['adjusters'];

/** Lengths in mm whatever the file's unit is: they are properties of machines, not of files. */
const DEFAULTS = {
  bedRepeatability: 0.005,
  knifeTolerance: 0.05,
  bedTolerance: 0.1,
  resolution: 0.01,
  maxError: 0.02,
  mostShims: 3,
  /** A hand's turn has a standard deviation of a sixth of the finest turn its owner can set. */
  turnSdShare: 1 / 6,
} as const;

/** Takes a given value, or the default, which it notes down. */
type Take = <T>(given: T | undefined, fallback: T, key: string, words?: string) => T;

/** The machine of a description without problems, every default that was taken noted in `assumed`. */
export function completed(description: Description): Machine {
  const assumed: { key: string; value: string }[] = [];
  const take: Take = (given, fallback, key, words = inWords(fallback)) => {
    if (given === undefined) assumed.push({ key, value: words });
    return given ?? fallback;
  };
  const { name, unit, block, feed, set, outfeed, tolerance } = description;
  const noSurface = 'not given: no surface; full boards show the highest knife';
  return {
    name,
    unit: take(unit, 'mm', 'unit', 'mm'),
    block: {
      knives: block.knives,
      cuttingDiameter: block.cutting_diameter,
      length: block.length,
      speed: take<number | null>(block.speed, null, 'block.speed', noSurface),
      maxSpeed: block.max_speed ?? null,
      maxProjection: block.max_projection ?? null,
      projection: block.projection ?? null,
      angles: block.angles ?? null,
    },
    feedSpeed: take<number | null>(feed?.speed, null, 'feed.speed', noSurface),
    adjusters: adjustersOf(description.adjusters, take),
    bed: bedOf(description.bed, take),
    set: set
      ? {
          name: set.name ?? null,
          edge: set.edge ?? null,
          fitted: set.fitted ?? null,
          note: set.note ?? null,
        }
      : null,
    outfeedPresent: take(outfeed?.present, false, 'outfeed.present', 'false: no outfeed table'),
    tolerance: {
      knife: take(tolerance?.knife, DEFAULTS.knifeTolerance, 'tolerance.knife'),
      bed: take(tolerance?.bed, DEFAULTS.bedTolerance, 'tolerance.bed'),
    },
    instrument: instrumentOf(description.instrument, take),
    assumed,
  };
}

function inWords(value: unknown): string {
  return typeof value === 'number' ? `${value} mm` : String(value);
}

function adjustersOf(adjusters: Described, take: Take): Adjusters {
  const kind = take(adjusters.kind, 'screw', 'adjusters.kind');
  const [front, back] = take(adjusters.names, ['front', 'back'], 'adjusters.names', 'front, back');
  const ends = { at: adjusters.at, names: [front!, back!] as const };
  return kind === 'screw'
    ? { ...ends, ...screwsOf(adjusters, take) }
    : { ...ends, ...shimsOf(adjusters, take) };
}

type Screws = Omit<ScrewAdjusters, 'at' | 'names'>;
type Shims = Omit<ShimAdjusters, 'at' | 'names'>;

function screwsOf(adjusters: Described, take: Take): Screws {
  const { thread, lift_per_turn: lift } = adjusters;
  // The checks see to it that one of the three is there, and the finest turn and the direction too.
  const pitch = thread?.pitch ?? adjusters.pitch ?? lift!;
  const finestTurn = adjusters.finest_turn!;
  const turnSd = finestTurn * DEFAULTS.turnSdShare;
  const sixth = `${Number(turnSd.toPrecision(3))} turns, a sixth of finest_turn`;
  const onePitch = `${Number(pitch.toPrecision(5))} mm, one pitch`;
  return {
    kind: 'screw',
    thread: thread?.designation ?? null,
    pitch,
    liftPerTurn: take(lift, pitch, 'adjusters.lift_per_turn', onePitch),
    raisedBy: adjusters.raised_by!,
    finestTurn,
    turnSd: take(adjusters.turn_sd, turnSd, 'adjusters.turn_sd', sixth),
    approach: adjusters.approach ?? null,
  };
}

function shimsOf({ stock = [], most }: Described, take: Take): Shims {
  const shims = stock.map((shim) =>
    typeof shim === 'number'
      ? { thickness: shim, count: null }
      : { thickness: shim.thickness, count: shim.count ?? null },
  );
  return {
    kind: 'shim',
    stock: shims.toSorted((one, other) => other.thickness - one.thickness),
    most: take(most, DEFAULTS.mostShims, 'adjusters.most', `${DEFAULTS.mostShims} pieces an end`),
  };
}

function bedOf(bed: Description['bed'], take: Take): Bed {
  const repeatability = take<number | 'unknown'>(
    bed?.repeatability,
    DEFAULTS.bedRepeatability,
    'bed.repeatability',
  );
  return {
    repeatability: repeatability === 'unknown' ? null : repeatability,
    at: bed?.at ?? null,
    thread: bed?.thread?.designation ?? null,
    liftPerTurn: bed?.thread?.pitch ?? bed?.pitch ?? null,
  };
}

function instrumentOf(instrument: Description['instrument'], take: Take): Instrument {
  return {
    resolution: take(instrument?.resolution, DEFAULTS.resolution, 'instrument.resolution'),
    maxError: take(instrument?.max_error, DEFAULTS.maxError, 'instrument.max_error'),
    readingSd: instrument?.reading_sd ?? null,
    contact: instrument?.contact ?? null,
    reach: instrument?.reach ?? null,
  };
}
