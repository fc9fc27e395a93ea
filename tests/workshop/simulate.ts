/**
 * A workshop that knows the truth: boards are cut by real circles and trochoids, read by calipers
 * held a little wrong, and now and then misread. It shares nothing with the program, which sees
 * the same two texts that a user would give it.
 */
import { type Caliper, misread, readSmallest, USUAL_CALIPER } from './caliper.js';
import { planedThickness, scoopThickness } from './cutting.js';
import type { Place } from './designs.js';
import type { Random } from './random.js';
import { edgeAt, type Shop } from './shop.js';
import { csvText, lineOf, type Row } from './texts.js';

/** What the rollers do to the ends of a powered board. */
export interface Snipe {
  readonly boardLength: number;
  /** How far in from an end it reaches. */
  readonly reach: number;
  /** How much thinner the very end is. */
  readonly depth: number;
}

/** What really is, in the words in which the program answers. */
export interface Truth {
  /** Each knife at each outer adjuster against the mean of the knives there, mm. */
  readonly offsets: readonly {
    readonly id: string;
    readonly front: number;
    readonly back: number;
  }[];
  /** How much more gap there is from the bed to the mean of the knives at the back, mm. */
  readonly bedTilt: number;
  /** How much thicker a planed board is at the back, mm. */
  readonly taper: number;
}

export interface MeasuredBoards {
  readonly csv: string;
  /** Lines of the file, counted from 1, whose thickness was misread. */
  readonly misreadLines: readonly number[];
  readonly rows: readonly Row[];
}

export interface MeasureOptions {
  readonly caliper?: Partial<Caliper>;
  readonly snipe?: Snipe;
  readonly comments?: readonly string[];
}

/** Cuts and measures the places of a design, in their order. */
export function measure(
  shop: Shop,
  places: readonly Place[],
  random: Random,
  options: MeasureOptions = {},
): MeasuredBoards {
  const caliper = { ...USUAL_CALIPER, ...options.caliper };
  const locks = new Map<string, number>();
  const misreadLines: number[] = [];
  const rows = places.map((place, i) => {
    if (!locks.has(place.board)) locks.set(place.board, random.normal(shop.lockSd));
    const lock = locks.get(place.board)!;
    const right =
      place.knife === 'all'
        ? readPlaned(shop, place, lock - snipeAt(options.snipe, place.y), caliper, random)
        : readScoop(shop, place, lock, caliper, random);
    if (random.uniform() >= caliper.misreadRate) return { ...place, thickness: right };
    misreadLines.push(lineOf(i, options.comments));
    return { ...place, thickness: misread(right, random) };
  });
  return { csv: csvText(rows, options.comments), misreadLines, rows };
}

function readScoop(
  shop: Shop,
  place: Place,
  lock: number,
  caliper: Caliper,
  random: Random,
): string {
  const knife = shop.knives.find(({ id }) => id === place.knife)!;
  const thickness = () => {
    const off = random.normal(caliper.offBottomSd);
    return lock + scoopThickness(shop, knife, place.x, off, caliper.bladeWidth);
  };
  return readSmallest(caliper, thickness, caliper.tries, random);
}

/** Crests are everywhere alike, so a planed face is read once. */
function readPlaned(
  shop: Shop,
  place: Place,
  lock: number,
  caliper: Caliper,
  random: Random,
): string {
  const from = place.y + random.uniform();
  const thickness = lock + planedThickness(shop, place.x, from, caliper.jawWidth);
  return readSmallest(caliper, () => thickness, 1, random);
}

/** How much thinner a sniped board is at y; the rollers let its end rise towards the block. */
function snipeAt(snipe: Snipe | undefined, y: number): number {
  if (!snipe) return 0;
  const fromEnd = Math.min(y, snipe.boardLength - y);
  return snipe.depth * Math.max(0, 1 - fromEnd / snipe.reach);
}

export function truthOf(shop: Shop): Truth {
  const [front, back] = shop.adjusters;
  const mean = (x: number) =>
    shop.knives.reduce((sum, knife) => sum + edgeAt(shop, knife, x), 0) / shop.knives.length;
  const planed = (x: number) => planedThickness(shop, x, 0, USUAL_CALIPER.jawWidth);
  return {
    offsets: shop.knives.map((knife) => ({
      id: knife.id,
      front: edgeAt(shop, knife, front) - mean(front),
      back: edgeAt(shop, knife, back) - mean(back),
    })),
    bedTilt: shop.tilt - (mean(back) - mean(front)),
    taper: planed(back) - planed(front),
  };
}

/** How far the worst knife end stands from the mean of the knives, mm. */
export function worstEnd(truth: Truth): number {
  return Math.max(...truth.offsets.flatMap(({ front, back }) => [Math.abs(front), Math.abs(back)]));
}
