import type { Notice } from '../notices/notice.js';
import { cellNotice } from './place.js';
import type { Cell } from './table.js';

/** Where something was measured; a gauge and a rule know no y. */
export interface Place {
  readonly x: number;
  readonly y?: number;
}

/**
 * Positions 1, 2, 3 ... are the numbers of places and not millimetres.
 * @param stated positions whose unit is stated, so that they are lengths for certain
 * @param cell where to point
 */
export function indexNotices(
  places: readonly Place[],
  stated: readonly string[],
  cell: Cell,
): Notice[] {
  return (['x', 'y'] as const).flatMap((name) => {
    const values = places.flatMap((place) => place[name] ?? []);
    if (stated.includes(name) || !counts(values)) return [];
    return [
      cellNotice(cell, {
        code: 'position-counted',
        severity: name === 'x' ? 'error' : 'warning',
        message: `every ${name} is 1, 2, 3 ...: numbers of places, not lengths`,
        found: `${name} = ${[...new Set(values)].join(', ')} mm`,
        expected: `${name} as a length`,
        hint: `measure ${name} of each place; if it is in millimetres all the same, write ${name} (mm)`,
      }),
    ];
  });
}

// A gauge that logs a whole block millimetre by millimetre does measure lengths.
const MOST_PLACES = 30;

function counts(values: readonly number[]): boolean {
  const places = [...new Set(values)].sort((a, b) => a - b);
  const [first] = places;
  if (places.length < 3 || places.length > MOST_PLACES || (first !== 0 && first !== 1))
    return false;
  return places.every((place, at) => place === first + at);
}
