import { type LengthReading, readLength, splitUnit, unitOf } from '../boards/cell.js';
import { THICKEST, THINNEST } from '../boards/checks.js';
import { formatLength, unitFactor } from '../units/length.js';
import { plainDecimal } from '../units/plain-decimal.js';
import { plainText } from '../units/plain-text.js';

/** One thickness as it was entered. */
export interface Entry {
  /** mm */
  readonly thickness: number;
  /** What stands in the CSV column, whose header carries the sheet's unit. */
  readonly cell: string;
  /** Questioned and kept by its owner: not to be trusted in judging others. */
  readonly isKept: boolean;
}

/** A thickness understood, or in words what was not and what to do. */
export type EntryReading =
  | { readonly ok: true; readonly thickness: number; readonly cell: string }
  | { readonly ok: false; readonly problem: string };

type Unit = 'mm' | 'in';
type Length = Extract<LengthReading, { kind: 'length' }>;

// Keyboard output of calipers frames a value with such characters; line ends and tabs count as blanks.
const CONTROL = /(?!\s)\p{Cc}/gu;
const GROUPED_BY_COMMA = /^(\+? ?[1-9]\d{0,2}(?:,\d{3})+)(?![\d.,])/;
const DECIMAL = /^\+? ?0*(\d*)(?:[.,](\d*))?$/;

/**
 * Reads what a person or a caliper's keyboard output types for one thickness: `20.01`, `20,01`,
 * `25/32`, `1 3/16`, `.750in`, `+020.01`.
 * @param unit the sheet's: that of a number that stands alone
 * @returns the thickness in mm, and the cell that reads back to exactly it in a column of that unit;
 * or the problem. A comma is the decimal mark or groups thousands, whichever makes it a thickness.
 */
export function readEntry(text: string, unit: Unit): EntryReading {
  const plain = plainText(text.replace(CONTROL, '')).replace(/\s+/g, ' ');
  if (plain === '') return refused(`nothing was typed; type ${examples(unit)}`);
  const meanings = meaningsOf(plain, unit);
  const [thickness, other] = meanings.filter(isThickness);
  if (thickness && other) {
    return refused(
      `"${plain}" can be ${shown(thickness.mm)} or ${shown(other.mm)}; write the decimal mark as a point and thousands without any`,
    );
  }
  if (!thickness) return refused(problemOf(plain, unit, meanings));
  return { ok: true, thickness: thickness.mm, cell: cellOf(plain, thickness, unit) };
}

function refused(problem: string): EntryReading {
  return { ok: false, problem };
}

/** Each length that a text can mean, once. */
function meaningsOf(plain: string, unit: Unit): Length[] {
  const factor = factorOf(unit);
  const readings = [readLength(plain, '.', factor), readLength(plain, ',', factor)];
  const grouped = GROUPED_BY_COMMA.exec(plain)?.[1];
  if (grouped !== undefined) {
    const whole = grouped.replaceAll(',', '') + plain.slice(grouped.length);
    readings.push(readLength(whole, '.', factor));
  }
  const lengths = readings.filter((reading): reading is Length => reading.kind === 'length');
  return lengths.filter(({ mm }, at) => lengths.findIndex((other) => other.mm === mm) === at);
}

function isThickness({ mm }: Length): boolean {
  return mm >= THINNEST && mm <= THICKEST;
}

/**
 * The digits as typed where they are a decimal, so that a last zero stays; else the exact decimal;
 * where there is none, as of a third of an inch, millimetres.
 */
function cellOf(plain: string, { mm, ownUnit }: Length, unit: Unit): string {
  const { number, unit: typed } = splitUnit(plain);
  const own = (ownUnit ? unitOf(typed ?? '') : null) ?? factorOf(unit);
  const name = NAMES.get(own);
  const suffix = own === factorOf(unit) ? '' : ` ${name}`;
  const [, whole = '', part = ''] = DECIMAL.exec(number) ?? [];
  const asTyped = `${whole || '0'}${part && '.'}${part}`;
  const decimals = [asTyped, plainDecimal(mm / own)].map((digits) => digits + suffix);
  const exact = decimals.find((cell) => readsAs(cell, unit) === mm);
  return exact ?? `${plainDecimal(mm)}${unit === 'mm' ? '' : ' mm'}`;
}

/** The plainest name of each unit: no quotes, which CSV has another use for. */
const NAMES: ReadonlyMap<number, string> = new Map(
  ['mm', 'cm', 'm', 'in', 'ft', 'thou', 'um'].map((name) => [unitFactor(name)!, name]),
);

function readsAs(cell: string, unit: Unit): number | null {
  const reading = readLength(cell, '.', factorOf(unit));
  return reading.kind === 'length' ? reading.mm : null;
}

function factorOf(unit: Unit): number {
  return unitFactor(unit)!;
}

function examples(unit: Unit): string {
  return unit === 'mm'
    ? 'a thickness such as 20.01, or 25/32 in'
    : 'a thickness such as 0.7875 or 25/32, or 20.01 mm';
}

function shown(mm: number): string {
  return `${Number(mm.toPrecision(7))} mm`;
}

/** What is wrong with a text that is no thickness, what was probably meant, and what to type. */
function problemOf(plain: string, unit: Unit, meanings: readonly Length[]): string {
  const [length] = meanings;
  if (length) return outsideProblem(plain, length, unit);
  const reading = readLength(plain, '.', factorOf(unit));
  const what =
    reading.kind === 'fault' && reading.fault.code !== 'mixed-decimal-marks'
      ? reading.fault.message
      : 'this is not a length';
  return `"${clipped(plain)}": ${what}; type ${examples(unit)}`;
}

function clipped(text: string): string {
  return text.length > 30 ? `${text.slice(0, 29)}…` : text;
}

function outsideProblem(plain: string, { mm, ownUnit }: Length, unit: Unit): string {
  const range = `${formatLength(THINNEST, unit, unit === 'mm' ? 0 : 3)} to ${formatLength(THICKEST, unit, unit === 'mm' ? 0 : 2)}`;
  const what = `"${clipped(plain)}" is ${shown(mm)}, and a test board has ${range}`;
  return `${what}; ${meantInstead(plain, mm, ownUnit, unit) ?? 'check the decimal mark and the unit'}`;
}

/** The likely cause: the other unit, or a decimal mark left out or slipped. */
function meantInstead(plain: string, mm: number, ownUnit: boolean, unit: Unit): string | null {
  if (mm <= 0) return 'leave the place blank where nothing was measured';
  const inside = (value: number) => value >= THINNEST && value <= THICKEST;
  const other = unit === 'mm' ? 'in' : 'mm';
  const inOther = (mm / factorOf(unit)) * factorOf(other);
  if (!ownUnit && inside(inOther)) {
    const names = { mm: 'millimetres', in: 'inches' };
    return `read off in ${names[other]}? then type ${plain} ${other}`;
  }
  if (/^\+? ?\d+$/.test(splitUnit(plain).number)) {
    return 'was the decimal mark left out? type it with its mark';
  }
  return [10, 100, 0.1].some((times) => inside(mm * times))
    ? 'has the decimal mark slipped? type it again'
    : null;
}
