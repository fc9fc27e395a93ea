/** A person with a rule and a loupe writes down where the ridges of a planed board lie. */
import { asWritten } from './caliper.js';
import type { TrueRidge } from './planing.js';
import type { Random } from './random.js';

/** Which of the marks are written down with their knife's name, and how. */
export type Labels = 'all' | 'some' | 'none' | 'backwards' | 'one wrong';

/** How ridges are read and written down; lengths in mm. */
export interface Loupe {
  readonly noiseSd: number;
  readonly resolution: number;
  /** Marks narrower than this are not seen: their two ridges are taken for one. */
  readonly narrowest: number;
  /** Share of ridges overlooked, and of ridges written down twice. */
  readonly missRate: number;
  readonly doubleRate: number;
  /** How many ridges of a reading are written down half a millimetre off. */
  readonly misreads: number;
  readonly labels: Labels;
}

export const USUAL_LOUPE: Loupe = {
  noiseSd: 0.05,
  resolution: 0.01,
  narrowest: 0.1,
  missRate: 0,
  doubleRate: 0,
  misreads: 0,
  labels: 'all',
};

/** One line of what was written down. */
export interface RidgeRow {
  readonly board: string;
  readonly x: number;
  /** As written, mm. */
  readonly y: string;
  /** Id of the knife whose mark begins here, empty where none was written. */
  readonly knife: string;
  /** What went wrong with it, if anything. */
  readonly wrong: 'doubled' | 'misread' | 'label' | null;
}

const MISREAD_BY = 0.5;

/** How far from a ridge its second reading lies at most, where it was written down twice. */
const DOUBLED_WITHIN = 0.15;

/** Of labels written here and there, the share that is written. */
const SOME = 0.3;

/**
 * What a person writes down of the ridges at one x of one board.
 *
 * @param ids the block's knives in their order
 */
export function readRidges(
  loupe: Loupe,
  place: { readonly board: string; readonly x: number },
  ridges: readonly TrueRidge[],
  ids: readonly string[],
  random: Random,
): RidgeRow[] {
  const seen = distinguished(ridges, loupe.narrowest).filter(
    () => random.uniform() >= loupe.missRate,
  );
  const labels = labelled(seen, ids, loupe.labels, random);
  const misread = chosen(seen.length, loupe.misreads, random);
  // Which of two ridges comes first is seen, however close they are.
  const reads = seen.map(({ y }) => y + random.normal(loupe.noiseSd)).sort((a, b) => a - b);
  return seen.flatMap(({ y }, i) => {
    const read = reads[i]!;
    const off = misread.has(i) ? random.pick([-MISREAD_BY, MISREAD_BY]) : 0;
    const wrong = off !== 0 ? 'misread' : labels[i]!.isWrong ? 'label' : null;
    const row = { ...place, knife: labels[i]!.text, wrong } as const;
    const first: RidgeRow = { ...row, y: asWritten(read + off, loupe.resolution) };
    if (random.uniform() >= loupe.doubleRate) return [first];
    const again = y + (2 * random.uniform() - 1) * DOUBLED_WITHIN + random.normal(loupe.noiseSd);
    return [first, { ...row, y: asWritten(again, loupe.resolution), wrong: 'doubled' }];
  });
}

/** CSV of knife marks; without any label there is no column for them. */
export function marksText(rows: readonly RidgeRow[], comments: readonly string[] = []): string {
  const isLabelled = rows.some(({ knife }) => knife !== '');
  const columns = (row: { board: string; x: unknown; y: string; knife: string }) =>
    [row.board, row.x, row.y, ...(isLabelled ? [row.knife] : [])].join(',');
  const heading = columns({ board: 'board', x: 'x', y: 'y', knife: 'knife' });
  return `${[...comments.map((comment) => `# ${comment}`), heading, ...rows.map(columns)].join('\n')}\n`;
}

/**
 * Ridges as the eye parts them: two with a mark too narrow between them are one, in their middle. The
 * mark that begins at the last ridge is not seen to its end, so that ridge is left out.
 */
function distinguished(ridges: readonly TrueRidge[], narrowest: number): TrueRidge[] {
  const seen: TrueRidge[] = [];
  for (const ridge of ridges) {
    const last = seen.at(-1);
    if (!last || ridge.y - last.y >= narrowest) seen.push(ridge);
    else seen[seen.length - 1] = { ...ridge, y: (last.y + ridge.y) / 2 };
  }
  return seen.slice(0, -1);
}

interface Label {
  readonly text: string;
  readonly isWrong: boolean;
}

function labelled(
  ridges: readonly TrueRidge[],
  ids: readonly string[],
  labels: Labels,
  random: Random,
): Label[] {
  const right = ridges.map(({ knife }) => ({ text: ids[knife]!, isWrong: false }));
  const nothing = { text: '', isWrong: false };
  if (labels === 'none') return right.map(() => nothing);
  if (labels === 'some') {
    const always = chosen(right.length, 1, random);
    return right.map((label, i) => (random.uniform() < SOME || always.has(i) ? label : nothing));
  }
  if (labels === 'one wrong') {
    const wrong = chosen(right.length, 1, random);
    return right.map((label, i) => (wrong.has(i) ? otherThan(label.text, ids, random) : label));
  }
  return labels === 'backwards' ? countedBackwards(ridges, ids) : right;
}

function otherThan(id: string, ids: readonly string[], random: Random): Label {
  return { text: random.pick(ids.filter((other) => other !== id)), isWrong: true };
}

/** The first mark is named right, and from there the knives that show are counted the wrong way. */
function countedBackwards(ridges: readonly TrueRidge[], ids: readonly string[]): Label[] {
  const showing = [...new Set(ridges.map(({ knife }) => knife))].sort((a, b) => a - b);
  const first = showing.indexOf(ridges[0]?.knife ?? 0);
  return ridges.map(({ knife }) => {
    const counted = 2 * first - showing.indexOf(knife) + showing.length;
    const named = showing[counted % showing.length]!;
    return { text: ids[named]!, isWrong: named !== knife };
  });
}

/** So many different indices below a count. */
function chosen(below: number, count: number, random: Random): ReadonlySet<number> {
  const left = Array.from({ length: below }, (_, i) => i);
  const taken = Array.from(
    { length: Math.min(count, below) },
    () => left.splice(Math.floor(random.uniform() * left.length), 1)[0]!,
  );
  return new Set(taken);
}
