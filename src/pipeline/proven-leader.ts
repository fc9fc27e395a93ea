import { normalQuantile } from '../fit/distributions.js';
import type { Machine } from '../machine/machine.js';
import { machineFeed } from '../model/feed.js';
import { oneFinishesBelow } from '../model/surface.js';
import type { KnifeStanding, Result } from '../record/result.js';

/** One-sided 95 % of a normal distribution. */
const SURELY = normalQuantile(0.95);

/**
 * The knife that leads everywhere, with 95 % at the front, in the middle and at the back, by so much
 * that no other leaves a mark; null where none does, or where neither full boards nor knife marks
 * agree with that. Only then is a board cut under power that knife's alone.
 */
export function provenLeader(machine: Machine, result: Result): string | null {
  const isShown =
    result.evidence?.fullBoards?.agree === true ||
    result.instruments?.some(({ kind, agrees }) => kind === 'marks' && agrees === true);
  if (!isShown || machine.block.knives.length < 2) return null;
  const feed = machineFeed(machine);
  const gap = feed ? (oneFinishesBelow(feed) ?? 0) : 0;
  const leader = result.knives.find((knife) =>
    result.knives.every((other) => other === knife || leads(knife, other, gap)),
  );
  return leader?.id ?? null;
}

/** Whether a knife stands higher than another by a gap, at all three places and beyond doubt. */
function leads(one: KnifeStanding, other: KnifeStanding, gap: number): boolean {
  const heights = ({ ends, middle }: KnifeStanding) => [
    ...ends.map(({ offset, u }) => ({ value: offset, u })),
    middle,
  ];
  const others = heights(other);
  return heights(one).every(({ value, u }, i) => {
    const against = others[i]!;
    if (value === null || u === null || against.value === null || against.u === null) return false;
    // Offsets sum to nothing, so two of them may err against each other as far as they can.
    return value - against.value - SURELY * (u + against.u) > gap;
  });
}
