import type { Reading } from '../boards/reading.js';
import type { Insistence } from '../fit/robust.js';
import type { Notice } from '../notices/notice.js';

/** A reading by where it stands: the file as named on the command line, and its line. */
export interface ReadingPlace {
  readonly file: string;
  readonly line: number;
}

/** Whether a place is among some. */
export function isAmong(places: readonly ReadingPlace[], { file, line }: ReadingPlace): boolean {
  return places.some((place) => place.file === file && place.line === line);
}

/**
 * Finds the readings that their owner wants left out or kept.
 *
 * @param others where something else was written down that may be left out or kept
 * @returns indices into the readings; an error notice for every place where no reading stands. A
 *   grid's row holds several readings, and all of them are meant.
 */
export function insistenceOf(
  readings: readonly Reading[],
  exclude: readonly ReadingPlace[],
  use: readonly ReadingPlace[],
  others: readonly ReadingPlace[] = [],
): { insistence: Insistence; notices: Notice[] } {
  const notices: Notice[] = [];
  const find = (places: readonly ReadingPlace[], option: string) => {
    const found = new Set<number>();
    for (const { file, line } of places) {
      const matches = readings
        .map((_, index) => index)
        .filter((index) => readings[index]!.file === file && readings[index]!.line === line);
      if (matches.length === 0 && !isAmong(others, { file, line })) {
        notices.push(noReadingThere(file, line, option, [...readings, ...others]));
      }
      for (const index of matches) found.add(index);
    }
    return found;
  };
  const excluded = find(exclude, '--exclude');
  const used = find(use, '--use');
  const both = use.find((place) => isAmong(exclude, place));
  if (both !== undefined) {
    const { file, line } = both;
    notices.push({
      code: 'excluded-and-used',
      severity: 'error',
      message: `${file}:${line} is to be left out and kept at once`,
      file,
      line,
      hint: 'give it to --exclude or to --use, not to both',
    });
  }
  return { insistence: { exclude: excluded, use: used }, notices };
}

function noReadingThere(
  file: string,
  line: number,
  option: string,
  readings: readonly ReadingPlace[],
): Notice {
  const names = [...new Set(readings.map((reading) => reading.file))];
  return {
    code: 'no-such-reading',
    severity: 'error',
    message: `${option} ${file}:${line}: no reading stands there`,
    found: `${file}:${line}`,
    expected: `a line with a reading in ${names.join(', ')}`,
    hint: 'name the file as it is given on the command line, and the line as an editor counts it',
  };
}
