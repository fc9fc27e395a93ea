import { csvField } from '../boards/csv-field.js';
import { unitFactor } from '../units/length.js';
import type { Entry } from './entry.js';
import type { Place } from './places.js';

/** What the note of a reading says that was questioned and kept. */
export const KEPT_NOTE = 'questioned and kept';

/** Without commas and semicolons, so that a spreadsheet leaves the lines as they are. */
const COMMENTS = [
  '# Measurement sheet of test boards: one place a row in the order of measuring.',
  '# x is across from the mark at the front end of the bed and y along from the leading end.',
  '# Leave the thickness blank where nothing was measured.',
];

/**
 * A measurement sheet as CSV in long form, one row a place in the order of measuring, the thickness
 * blank where there is no entry. Its headers carry the unit.
 * @param entries one a place; places without any are blank
 */
export function sheetCsv(
  places: readonly Place[],
  unit: 'mm' | 'in',
  entries: readonly (Entry | null)[],
): string {
  const hasSettings = places.some(({ setting }) => setting !== undefined);
  const names = hasSettings ? 'board,knife,cut,setting' : 'board,knife,cut';
  const header = `${names},x (${unit}),y (${unit}),thickness (${unit}),note`;
  const rows = places.map(({ board, knife, cut, setting = '', x, y }, index) => {
    const entry = entries[index] ?? null;
    const at = [x, y].map((mm) => positionText(mm, unit));
    const note = entry?.isKept ? KEPT_NOTE : '';
    const named = [csvField(board), csvField(knife), cut];
    if (hasSettings) named.push(setting === '' ? '' : csvField(setting));
    return [...named, ...at, entry?.cell ?? '', note].join(',');
  });
  return [...COMMENTS, header, ...rows].map((line) => `${line}\n`).join('');
}

/** So many decimals that a position reads back within a hundred-millionth of a millimetre. */
function positionText(mm: number, unit: 'mm' | 'in'): string {
  const digits = (mm / unitFactor(unit)!).toFixed(9).replace(/\.?0+$/, '');
  return digits === '-0' ? '0' : digits;
}
