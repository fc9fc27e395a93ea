import { csvField } from '../boards/csv-field.js';
import { unitFactor } from '../units/length.js';
import { plainDecimal } from '../units/plain-decimal.js';
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

/** Begins the comment that says whose places these are. */
const MACHINE = '# Machine: ';

/**
 * A measurement sheet as CSV in long form, one row a place in the order of measuring, the thickness
 * blank where there is no entry. Its headers carry the unit.
 * @param entries one a place; places without any are blank
 * @param machine the machine's name
 */
export function sheetCsv(
  places: readonly Place[],
  unit: 'mm' | 'in',
  entries: readonly (Entry | null)[],
  machine: string,
): string {
  const factor = unitFactor(unit)!;
  const further = (['setting', 'repeat'] as const).filter((name) =>
    places.some((place) => place[name] !== undefined),
  );
  const at = [`x (${unit})`, `y (${unit})`, `thickness (${unit})`];
  const header = ['board', 'knife', 'cut', ...further, ...at, 'note'].join(',');
  const rows = places.map((place, index) => {
    const entry = entries[index] ?? null;
    const named = [csvField(place.board), csvField(place.knife), place.cut];
    const told = further.map((name) => place[name] ?? '').map((text) => text && csvField(text));
    const where = [place.x, place.y].map((mm) => plainDecimal(mm / factor));
    const note = entry?.isKept ? KEPT_NOTE : '';
    return [...named, ...told, ...where, entry?.cell ?? '', note].join(',');
  });
  const whose = `${MACHINE}${plainName(machine)}`;
  return [...COMMENTS, whose, header, ...rows].map((line) => `${line}\n`).join('');
}

/**
 * Whether a sheet says that it is of a machine of another name.
 * @param text the file, as it was written or as a spreadsheet saved it
 */
export function isOfAnotherMachine(text: string, machine: string): boolean {
  const line = text.split(/\r\n|\r|\n/).find((each) => each.replace(/^"/, '').startsWith(MACHINE));
  if (line === undefined) return false;
  const told = line.replace(/^"/, '').slice(MACHINE.length);
  return plainName(told.replace(/[";,\t]+$/, '')) !== plainName(machine);
}

/** A name without what a spreadsheet would make fields of. */
function plainName(name: string): string {
  return name.replace(/[\s";,]+/g, ' ').trim();
}
