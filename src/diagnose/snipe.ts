import type { Reading } from '../boards/reading.js';

/** Snipe is a matter of a board's ends: within this of its first or last measured place, mm. */
const END_ZONE = 150;

/**
 * Of the readings that do not fit, those that are thin at an end of a board planed under power: at
 * that y at least half of the readings across are thin too. That is the rollers' doing, not the
 * knives' and not the reader's.
 *
 * @param suspects indices of readings that do not fit
 * @param residual observed less predicted of a reading, mm
 * @param sd standard deviation of a reading, mm
 */
export function snipedReadings(
  readings: readonly Reading[],
  suspects: readonly number[],
  residual: (index: number) => number,
  sd: number,
): number[] {
  return suspects.filter((suspect) => {
    const here = readings[suspect]!;
    if (here.cut === 'hand' || residual(suspect) > 0) return false;
    const board = readings
      .map((reading, index) => ({ reading, index }))
      .filter(({ reading }) => reading.board === here.board && reading.cut === here.cut);
    const ys = board.map(({ reading }) => reading.y);
    const [first, last] = [Math.min(...ys), Math.max(...ys)];
    const isEnd =
      last > first &&
      Math.min(here.y - first, last - here.y) <= Math.min(END_ZONE, (last - first) / 4);
    const across = board.filter(({ reading }) => Math.abs(reading.y - here.y) < 1);
    const thin = across.filter(({ index }) => residual(index) < -2 * sd);
    return isEnd && across.length > 1 && thin.length >= across.length / 2;
  });
}
