import type { Notice } from '../notices/notice.js';
import { type DecimalMark, readNumber } from '../units/number.js';
import { splitUnit, unitOf } from './cell.js';
import type { InputFile } from './decode.js';
import { cellNotice } from './place.js';
import { type Cell, parseTable, type Separator, type Table } from './table.js';

export const SEPARATORS: readonly Separator[] = [',', ';', '\t'];

/** A number as it stands in a cell, without its unit. */
export interface NumberSample {
  readonly cell: Cell;
  readonly text: string;
  /** No number in such a place is larger, in the unit in which it is written. */
  readonly most: number;
  /** mm in one of that unit. */
  readonly factor: number;
}

/**
 * A cell as a sample of the file's numbers.
 * @param most the largest that such a number can be, mm
 * @param factor mm in one unit, for a value without its own
 */
export function sampleOf(cell: Cell, most: number, factor: number): NumberSample {
  const { number, unit } = splitUnit(cell.text);
  const own = (unit && unitOf(unit)) || factor;
  return { cell, text: number, most: most / own, factor: own };
}

/**
 * The text as each separator would split it; the caller keeps the one whose header makes sense.
 * A first line `sep=;` leaves one.
 */
export function splitEachWay(
  file: InputFile,
  text: string,
): { readonly tables: readonly Table[]; readonly notices: readonly Notice[] } {
  const declared = /^"?sep=([^\n"]?)"?[,;\t ]*(?=\n|$)/i.exec(text);
  if (!declared) {
    const present = SEPARATORS.filter((separator) => text.includes(separator));
    const worthTrying = present.length > 0 ? present : SEPARATORS.slice(0, 1);
    return { tables: worthTrying.map((each) => parseTable(file.name, text, each)), notices: [] };
  }
  const separator = SEPARATORS.find((known) => known === declared[1]);
  // The line is blanked and not cut off: lines count as in an editor.
  const rest = text.slice(declared[0].length);
  if (separator) return { tables: [parseTable(file.name, rest, separator)], notices: [] };
  return {
    tables: [],
    notices: [
      {
        code: 'unknown-separator',
        severity: 'error',
        message: 'fields cannot be separated by this',
        file: file.name,
        line: 1,
        column: 5,
        found: declared[1] ?? '',
        expected: 'sep=, or sep=; or sep= and a tab',
        hint: 'save the file with one of these between its fields',
      },
    ],
  };
}

/**
 * The decimal mark of a whole file. The mark that more numbers prove wins; a number written with the
 * other one is then refused where it is read.
 * @param samples every number that counts in the file
 * @returns a notice where `1,250` and the like are all there is to go by, and either meaning could be
 */
export function decideDecimal(
  samples: readonly NumberSample[],
  separator: Separator,
): { readonly decimal: DecimalMark; readonly notices: readonly Notice[] } {
  const proven: Record<DecimalMark, number> = { '.': 0, ',': 0 };
  let doubtful: { readonly sample: NumberSample; readonly mark: DecimalMark } | null = null;
  for (const sample of samples) {
    const mark = markOf(sample.text);
    if (mark === null) continue;
    if (couldBeThousands(sample)) doubtful ??= { sample, mark };
    else proven[mark] += 1;
  }
  const decimal = proven[','] > proven['.'] ? ',' : '.';
  // Nobody separates fields by commas and groups thousands by points.
  const settled = proven[decimal] > 0 || (separator === ',' && doubtful?.mark === '.');
  if (settled || !doubtful) return { decimal, notices: [] };
  const { sample, mark } = doubtful;
  return {
    decimal: mark,
    notices: [
      cellNotice(sample.cell, {
        code: 'ambiguous-number',
        severity: 'error',
        message: `"${sample.text}" can be read in two ways and nothing in the file settles which`,
        expected: `${sample.text.replace(mark, ' ')} for thousands, or a number with another count of decimals`,
        hint: `write ${sample.text.replace(mark, '')} or ${sample.text}0`,
      }),
    ],
  };
}

function markOf(text: string): DecimalMark | null {
  const marks = (['.', ','] as const).filter((mark) => text.includes(mark));
  return marks.find((mark) => readNumber(text, mark).ok) ?? null;
}

function couldBeThousands({ text, most }: NumberSample): boolean {
  const [, digits] = /^[+\-\u2212]?([1-9]\d{0,2}[.,]\d{3})$/.exec(text) ?? [];
  return digits !== undefined && Number(digits.replace(/[.,]/, '')) <= most;
}
