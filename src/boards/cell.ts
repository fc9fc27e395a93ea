import { unitFactor } from '../units/length.js';
import { type DecimalMark, type NumberProblem, readNumber } from '../units/number.js';
import { plainText } from '../units/plain-text.js';

/** What a cell says where a length belongs. */
export type LengthReading =
  | {
      readonly kind: 'length';
      readonly mm: number;
      /** True where the value carries its own unit. */
      readonly ownUnit: boolean;
    }
  /** Nothing there: a place not measured. */
  | { readonly kind: 'blank' }
  /** A dash, `n/a` and the like: a place not measured, which the user is told. */
  | { readonly kind: 'not-measured' }
  | { readonly kind: 'fault'; readonly fault: CellFault };

export interface CellFault {
  readonly code: string;
  readonly message: string;
  readonly expected: string;
  readonly hint: string;
}

const NOT_MEASURED = new Set(
  '- -- --- – — ― \u2212 . .. ... … ? ?? ??? * / // x xx xxx n/a na n.a n.a. n.a #n/a #na none nil null void missing skip skipped blank empty fehlt entfällt keine manque s/o n/d nd n.d. k.a. k.a'.split(
    ' ',
  ),
)
  .add('not measured')
  .add('no reading')
  .add('k. a.')
  .add('n. a.');

const MONTH =
  '(?:jan|feb|fév|fev|f[eé]vr|mar|mär|maer|mrz|mrt|apr|avr|abr|may|mai|mag|mei|maj|jun|juin|giu|jul|juil|lug|aug|août|aout|ago|sep|set|oct|okt|ott|nov|dec|dez|déc|dic|gen|ene|maa)';
const DATES = [
  /^\d{1,2}\.\d{1,2}\.(?:\d{2}|\d{4})?(?:[ T].*)?$/,
  /^\d{4}([-./])\d{1,2}\1\d{1,2}(?:[ T].*)?$/,
  /^\d{1,2}([-/])\d{1,2}\1(?:\d{2}|\d{4})(?:[ T].*)?$/,
  /^\d{1,2}:\d{2}(?::\d{2})?(?: ?[ap]m)?$/i,
  new RegExp(`^\\d{1,4}[ .\\-/]*${MONTH}\\p{L}{0,8}\\.?[ .,\\-/]*\\d{0,4}$`, 'iu'),
  new RegExp(`^${MONTH}\\p{L}{0,8}\\.?[ .,\\-/]*\\d{1,4}(?:,? \\d{2,4})?$`, 'iu'),
];

// Rules are divided in halves to 128ths, sometimes in tenths and hundredths; ⅓ and ⅙ have characters.
const USUAL_DENOMINATORS = [2, 4, 8, 16, 32, 64, 128, 3, 5, 6, 10, 100, 1000];

/** True for a dash, `n/a` and the like. */
export function saysNotMeasured(text: string): boolean {
  return NOT_MEASURED.has(text.toLowerCase());
}

/** The number and the unit of a value such as `19.05 mm` or `3/4"`; the unit null when there is none. */
export function splitUnit(text: string): { readonly number: string; readonly unit: string | null } {
  const parts =
    /^(.*[\d.,\u00bc-\u00be\u2150-\u215f₀-₉]) ?((?:\p{L}+\.?|["“”„″]|['‘’′´`]{1,2}))$/su.exec(text);
  return { number: parts?.[1] ?? text, unit: parts?.[2]?.replace(/^['‘’′´`]{2}$/, '"') ?? null };
}

/**
 * Reads one cell as a length.
 * @param text plain text of the cell
 * @param factor mm in one unit, for a value without a unit of its own
 * @returns mm to nine decimals, which is what two dialects of one value agree on
 */
export function readLength(text: string, decimal: DecimalMark, factor: number): LengthReading {
  const plain = plainText(text);
  if (plain === '') return { kind: 'blank' };
  if (saysNotMeasured(plain)) return { kind: 'not-measured' };
  const date = dateFault(plain);
  if (date) return { kind: 'fault', fault: date };
  const { number, unit } = splitUnit(plain);
  const reading = readNumber(number, decimal);
  if (!reading.ok) return { kind: 'fault', fault: numberFault(plain, reading.problem, decimal) };
  const own = unit === null ? factor : unitOf(unit);
  if (own === null) return { kind: 'fault', fault: unitFault(unit!) };
  if (reading.denominator !== null && !USUAL_DENOMINATORS.includes(reading.denominator)) {
    return { kind: 'fault', fault: fractionFault(reading.denominator) };
  }
  return { kind: 'length', mm: toNineDecimals(reading.value * own), ownUnit: unit !== null };
}

/** mm in one unit however it is spelled, with or without the full stop of an abbreviation. */
export function unitOf(name: string): number | null {
  return unitFactor(name) ?? unitFactor(name.replace(/\.$/, ''));
}

/** Without the noise of binary conversion: 0.75 in is 19.05 mm and not 19.049999999999997. */
export function toNineDecimals(mm: number): number {
  return Math.abs(mm) < 1e6 ? Number(mm.toFixed(9)) : mm;
}

/** What to say of a date where a number belongs; null when it is none. */
export function dateFault(text: string): CellFault | null {
  if (!DATES.some((date) => date.test(text))) return null;
  return {
    code: 'date-not-number',
    message: 'this is a date or a time of day, not a length',
    expected: 'a length',
    hint: 'a spreadsheet has turned a number or a fraction into a date: format the column as text, then type the value again',
  };
}

function numberFault(text: string, problem: NumberProblem, decimal: DecimalMark): CellFault {
  const base = { expected: `a length such as 19${decimal}98, 25/32 or 19${decimal}98 mm` };
  if (problem === 'other-mark') {
    return {
      ...base,
      code: 'mixed-decimal-marks',
      message: `the other numbers of this file have a decimal ${decimal === '.' ? 'point' : 'comma'}`,
      hint: `write every number of the file with the same decimal mark, thousands without any`,
    };
  }
  if (problem === 'two-readings') {
    return {
      ...base,
      code: 'ambiguous-number',
      message: 'this can be read as two different numbers',
      hint: 'join whole number and fraction by a hyphen (1-125/128) or write decimals',
    };
  }
  if (/^#|^=/.test(text)) {
    return {
      ...base,
      code: 'formula-not-number',
      message: 'this is a formula or the error of one, not a number',
      hint: 'put the value in place of the formula, widen the column, save as CSV again',
    };
  }
  return {
    ...base,
    code: 'not-a-number',
    message: 'this is not a length',
    hint: 'leave only the number and its unit in the cell; a remark goes into the note column',
  };
}

/** What to say of a unit that is not known. */
export function unitFault(unit: string): CellFault {
  return {
    code: 'unknown-unit',
    message: `"${unit}" is not a unit of length known here`,
    expected: 'mm, cm, in, thou or µm',
    hint: 'correct the unit, or leave only the number in the cell',
  };
}

function fractionFault(denominator: number): CellFault {
  return {
    code: 'unusual-fraction',
    message: `nobody measures in parts of ${denominator}: a date, two readings or a slip`,
    expected: 'a fraction in halves, 4ths, 8ths, 16ths, 32nds, 64ths or 128ths',
    hint: 'correct the fraction or write decimals',
  };
}
