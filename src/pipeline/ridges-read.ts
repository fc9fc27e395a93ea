import type { Ridge } from '../boards/instrument-reading.js';
import type { MarksReport } from '../record/marks.js';
import type { MarkSequences } from './mark-sequences.js';

/** How well ridges were read, and which of them do not belong to the pattern of the others. */
export function ridgesRead(
  ridges: readonly Ridge[],
  { sequences, noise }: MarkSequences,
): NonNullable<MarksReport['reading']> {
  const places = sequences.flatMap(({ ridges: own, pattern }) =>
    own.map((ridge, index) => ({
      ridge,
      isUsed: pattern.places[index] !== null,
      reason: pattern.doubled.includes(index) ? 'doubled' : 'misread',
    })),
  );
  const used = places.filter(({ isUsed }) => isUsed).length;
  return {
    ridges: ridges.length,
    used,
    sd: noise.sd,
    sdFreedom: noise.degreesOfFreedom,
    setAside: places
      .filter(({ isUsed }) => !isUsed)
      .map(({ ridge: { file, line, board, x, y }, reason }) => ({
        file,
        line,
        board,
        x,
        y,
        reason,
      })),
  };
}
