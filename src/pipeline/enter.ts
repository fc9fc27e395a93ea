import type { Noise } from '../fit/problem.js';
import type { Machine } from '../machine/machine.js';
import { readMachine } from '../machine/read-machine.js';
import type { Notice } from '../notices/notice.js';
import type { Plan } from '../record/plan.js';
import type { Entry } from '../sheet/entry.js';
import { type Place, placesOf } from '../sheet/places.js';
import { readSheet, type Sheet, withEntries } from '../sheet/read-sheet.js';
import { isOfAnotherMachine } from '../sheet/sheet-csv.js';
import { unitFactor } from '../units/length.js';
import { noiseOf } from './noises.js';
import { blankSheet, emptyPlanNotice } from './sheet.js';
import type { SourceFile } from './source.js';

/** What is entered into: a sheet, and what judging its readings needs. */
export interface Entering {
  readonly machine: Machine;
  readonly noise: Noise;
  readonly sheet: Sheet;
  /** The unit of what is typed and told. */
  readonly unit: 'mm' | 'in';
}

export interface EnterOptions {
  /** The file as it stands, where there is one to go on with. */
  readonly existing: SourceFile | null;
  /** What the file is called. */
  readonly name: string;
  /** Always there where no file is. */
  readonly plan: Plan | null;
  /** The unit of what is typed; the sheet's, when not given. */
  readonly unit?: 'mm' | 'in';
}

/** A sheet to enter into, or none where the input has errors; every notice either way. */
export interface Entered {
  readonly entering: Entering | null;
  readonly notices: readonly Notice[];
}

/**
 * Opens a sheet for entering: the file that is there already, or a blank one for a plan. With both,
 * they have to name the same places in the same order.
 *
 * @param machineFile TOML
 */
export async function startEntering(
  machineFile: SourceFile,
  options: EnterOptions,
): Promise<Entered> {
  const { machine, notices } = await readMachine(machineFile);
  if (!machine) return { entering: null, notices };
  const { existing, name, plan, unit } = options;
  const empty = plan && emptyPlanNotice(plan);
  if (empty) return { entering: null, notices: [...notices, empty] };
  const places = placesOf(plan?.boards ?? []);
  const blank = plan ? blankSheet(plan, unit ?? machine.unit) : '';
  const file = existing ?? { name, content: new TextEncoder().encode(blank) };
  const { sheet, notices: found } = readSheet(file, machine);
  const all = [...notices, ...(existing ? found : found.map(withoutFile))];
  if (!sheet) return { entering: null, notices: all };
  const isForeign = isOfAnotherMachine(sheet.text, machine.name);
  const other = isForeign
    ? ofAnotherMachine(name, machine)
    : plan && otherPlaces(name, sheet, places);
  if (other) return { entering: null, notices: [...all, other] };
  const noise = noiseOf(machine.instrument);
  return {
    entering: { machine, noise, sheet, unit: unit ?? sheetUnit(sheet, machine) },
    notices: all,
  };
}

/** The file with other entries, everything else in it as it was. */
export function sheetText({ sheet, unit }: Entering, entries: readonly (Entry | null)[]): string {
  return withEntries(sheet, entries, unit);
}

/** What is wrong with a plan's places shows on the sheet made of it, which nobody has seen. */
function withoutFile({ file, line, column, ...notice }: Notice): Notice {
  return { ...notice, hint: 'make the plan anew with this machine file' };
}

function ofAnotherMachine(file: string, { name }: Machine): Notice {
  return {
    code: 'sheet-of-another-machine',
    severity: 'error',
    message: `this sheet says that it is of another machine than ${name}`,
    file,
    hint: 'give the machine file that it was made for, or another name after --out; if only the name of the machine was changed, change the line "# Machine:" too',
  };
}

/** Positions in a file may be rounded to a thousandth of a millimetre. */
const SAME_POSITION = 0.001;

/** A notice where a file's places are not those of the plan that was asked for. */
function otherPlaces(file: string, { rows }: Sheet, places: readonly Place[]): Notice | null {
  const at = Array.from({ length: Math.max(rows.length, places.length) }, (_, i) => i).find(
    (i) => !isSamePlace(rows[i]?.place, places[i]),
  );
  if (at === undefined) return null;
  const row = rows[at];
  return {
    code: 'other-plan',
    severity: 'error',
    message: `this file has other places than the plan, from its place ${at + 1} on`,
    file,
    ...(row ? { line: row.line, found: placeWords(row.place) } : { found: 'no more rows' }),
    expected: places[at] ? placeWords(places[at]) : 'no more rows',
    hint: 'leave the plan and its options out to go on with the file as it is, or give another name after --out',
  };
}

function isSamePlace(a: Place | undefined, b: Place | undefined): boolean {
  if (!a || !b) return false;
  const isNear = Math.abs(a.x - b.x) < SAME_POSITION && Math.abs(a.y - b.y) < SAME_POSITION;
  const isNamed = a.board === b.board && a.knife === b.knife && a.cut === b.cut;
  return isNear && isNamed && a.setting === b.setting;
}

function placeWords({ board, knife, x, y }: Place): string {
  const round = (mm: number) => Number(mm.toFixed(3));
  return `board ${board}, knife ${knife}, x ${round(x)} mm, y ${round(y)} mm`;
}

/** The unit of a sheet's plain thicknesses, so that what is typed means what it would in the file. */
function sheetUnit({ rows }: Sheet, machine: Machine): 'mm' | 'in' {
  const units = (['mm', 'in'] as const).filter((unit) =>
    rows.every(({ factor }) => factor === unitFactor(unit)),
  );
  return units[0] ?? machine.unit;
}
