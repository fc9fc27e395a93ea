import type { Feed } from '../model/feed.js';
import {
  allShowWithin,
  hiddenBetween,
  lineShares,
  oneFinishesBelow,
  type PlanedSurface,
  planedSurface,
  showingKnives,
} from '../model/surface.js';
import type { MarksKnife, MarksStation } from '../record/marks.js';
import { perInch } from './feed-finish.js';
import type { KnivesAt } from './result-heights.js';

/** What knives that stand so leave at one place across. */
export function stationOf(ids: readonly string[], at: KnivesAt, feed: Feed): MarksStation {
  const bare = {
    x: at.x,
    pitch: feed.period / ids.length,
    perRevolution: feed.period,
    hiddenBelow: allShowWithin(feed),
    oneKnifeBelow: oneFinishesBelow(feed),
    ambiguous: false,
  };
  const heights = at.heights.filter((height) => height !== null);
  if (heights.length < ids.length) return { ...bare, ...unknownStation(ids, at, feed) };
  const surface = planedSurface(heights, feed);
  const shown = surface.marks.map(({ knife }) => knife).toSorted((a, b) => a - b);
  const knives = knivesOf(ids, { ...at, heights }, surface, shown);
  return {
    ...bare,
    marksPerInch: perInch(shown.length, feed.period),
    ridgeHeight: surface.ridgeHeight,
    finishing: shown.map((knife) => ids[knife]!),
    marks: shown.length,
    knives,
    inOrder: shown.map((knife) => {
      const { from, to } = surface.marks.find((mark) => mark.knife === knife)!;
      const { id, offset, u } = knives[knife]!;
      return { id, width: to - from, offset, u };
    }),
  };
}

/** Knives of which all heights are known. */
type Standing = KnivesAt & { readonly heights: readonly number[] };

function knivesOf(
  ids: readonly string[],
  { heights, certainty }: Standing,
  { hidden }: PlanedSurface,
  shown: readonly number[],
): MarksKnife[] {
  const mean = shown.reduce((sum, knife) => sum + heights[knife]!, 0) / shown.length;
  const fromMean = (shares: ReadonlyMap<number, number>) =>
    ids.map((_, k) => (shares.get(k) ?? 0) - (shown.includes(k) ? 1 / shown.length : 0));
  return ids.map((id, knife): MarksKnife => {
    const bound = hidden.find((each) => each.knife === knife);
    if (!bound) {
      // A knife that finishes alone is its own mean, whatever is known of it.
      const isMeasured = certainty !== null && shown.length > 1;
      const u = isMeasured ? certainty.u(fromMean(new Map([[knife, 1]]))) : null;
      const U = u === null ? null : certainty!.coverage * u;
      return { id, shows: true, offset: heights[knife]! - mean, u, U, atMost: null };
    }
    const u = certainty?.u(fromMean(lineShares(bound))) ?? 0;
    const atMost = bound.atMost - mean + (certainty?.oneSided ?? 0) * u;
    return { id, shows: false, offset: null, u: null, U: null, atMost };
  });
}

/**
 * With a knife of unknown height: one that the known ones hide stays hidden, whatever the unknown
 * one does; of the others nothing can be told.
 */
function unknownStation(ids: readonly string[], { heights }: KnivesAt, feed: Feed) {
  const known = ids.map((_, knife) => knife).filter((knife) => heights[knife] !== null);
  const positions = known.map((knife) => feed.positions[knife]!);
  const shown = showingKnives(
    known.map((knife) => heights[knife]!),
    { ...feed, positions },
  );
  return {
    marksPerInch: null,
    ridgeHeight: null,
    finishing: [],
    marks: null,
    knives: ids.map((id, knife): MarksKnife => {
      const place = known.indexOf(knife);
      const shows = place >= 0 && !shown.has(place) ? false : null;
      return { id, shows, offset: null, u: null, U: null, atMost: null };
    }),
    inOrder: [],
  };
}

/**
 * The knives of which the heights leave open whether they show: those no further from where a mark
 * of theirs would vanish than U of that distance.
 */
export function doubtfulKnives(at: KnivesAt, feed: Feed): number[] {
  const { certainty } = at;
  const heights = at.heights.filter((height) => height !== null);
  const count = at.heights.length;
  if (!certainty || heights.length < count || count < 2) return [];
  const { marks, hidden } = planedSurface(heights, feed);
  const bounds = [
    ...hidden,
    ...(marks.length < 2
      ? []
      : marks.map((mark, m) => {
          const before = marks.at(m - 1)!;
          const after = marks[(m + 1) % marks.length]!;
          const [a, b] = [
            { ...before, y: before.y - (m === 0 ? feed.period : 0) },
            { ...after, y: after.y + (m === marks.length - 1 ? feed.period : 0) },
          ];
          return hiddenBetween(mark.knife, mark.y, a, b, heights, feed);
        })),
  ];
  return bounds
    .filter((bound) => {
      const shares = lineShares(bound).set(bound.knife, -1);
      const u = certainty.u(heights.map((_, knife) => shares.get(knife) ?? 0));
      return Math.abs(bound.atMost - heights[bound.knife]!) <= certainty.coverage * u;
    })
    .map(({ knife }) => knife);
}
