import { readingsOf } from './boards.js';
import type { PlannedBoard } from './planned-board.js';

/**
 * What the work takes, minutes; common practice, no source. Only their proportion decides between
 * plans: laying a strip in costs as much as five readings.
 */
const MINUTES = {
  /** Machine isolated, locked off and proved dead, block ready to be turned; once. */
  isolate: 10,
  /** One strip laid in, pressed down and held. */
  strip: 3,
  /** One knife brought round to cut its scoop. */
  scoop: 0.7,
  /** One board planed under power. */
  power: 3,
  /** One place measured, three tries, and written down. */
  reading: 0.6,
  /** A board that was cut already, found and taken in hand again. */
  again: 1,
} as const;

/** How long it takes to cut and measure boards, minutes. */
export function minutesOf(boards: readonly PlannedBoard[]): number {
  const cut = boards.filter(({ again }) => !again);
  const hand = cut.filter((board) => board.cut === 'hand');
  const scoops = hand.reduce((sum, { knives, y }) => sum + knives.length * y.length, 0);
  const readings = boards.reduce((sum, board) => sum + readingsOf(board), 0);
  return (
    (hand.length > 0 ? MINUTES.isolate : 0) +
    hand.length * MINUTES.strip +
    scoops * MINUTES.scoop +
    (cut.length - hand.length) * MINUTES.power +
    (boards.length - cut.length) * MINUTES.again +
    readings * MINUTES.reading
  );
}
