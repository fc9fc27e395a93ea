import { parseFraction } from './fraction.js';
import { plainText } from './plain-text.js';

/** The decimal mark of a file, decided for the whole of it. */
export type DecimalMark = '.' | ',';

/**
 * Why a text is no number: nothing there; not a number in any notation; written with the other decimal
 * mark; a number that can be read in two ways; too large to be held.
 */
export type NumberProblem = 'empty' | 'not-a-number' | 'other-mark' | 'two-readings' | 'too-large';

export type NumberReading =
  | {
      readonly ok: true;
      readonly value: number;
      /** The denominator as written where it was a fraction or a mixed number. */
      readonly denominator: number | null;
    }
  | { readonly ok: false; readonly problem: NumberProblem };

const VULGAR = /[\u00bc-\u00be\u2150-\u215f]/g;
const RAISED = '⁰¹²³⁴⁵⁶⁷⁸⁹';
const LOWERED = '₀₁₂₃₄₅₆₇₈₉';
// A space before exactly three digits groups thousands: "1 250", "12 500.5".
const GROUPED_BY_SPACE = /^([1-9]\d{0,2}(?: \d{3})+)(?:([.,])(\d*))?$/;
// The other mark can only group where the decimal mark follows it: "1,250.5".
const GROUPED_BY_MARK = /^([1-9]\d{0,2}(?:[.,]\d{3})+)([.,])(\d+)$/;
const PLAIN = /^(?:\d+|\d*[.,]\d+|\d+[.,])(?:[eE][+-]?\d{1,3})?$/;

/**
 * Reads one number strictly: all of the text or nothing of it, the decimal mark as declared.
 * Understood: `19.98`, `.5`, `-3`, `1.998E+01`, thousands grouped by a space (`1 250`) or by the other
 * mark where the decimal mark follows (`1,250.5`), fractions and mixed numbers in all their spellings
 * (`25/32`, `1 3/16`, `1-3/16`, `¾`, `1¾`, `25⁄32`). Not understood: hexadecimal, NaN, infinities.
 * @returns the value (finite, never −0), or why there is none
 */
export function readNumber(text: string, decimal: DecimalMark): NumberReading {
  const plain = spellOut(plainText(text));
  if (plain === '') return { ok: false, problem: 'empty' };
  const sign = /^[+-] ?/.exec(plain)?.[0] ?? '';
  const size = readSize(plain.slice(sign.length), decimal);
  if (!size.ok) return size;
  return sign.startsWith('-') ? { ...size, value: 0 - size.value } : size;
}

/** Every minus, slash and fraction as the keyboard has them. */
function spellOut(text: string): string {
  return text
    .replace(/[\u2212\u2010\u2011\u2013]/g, '-')
    .replace(/[⁰¹²³⁴-⁹]+\u2044[₀-₉]+/g, (small, at: number) => apart(text, at) + fullSize(small))
    .replace(VULGAR, (character, at: number, whole: string) => {
      return apart(whole, at) + character.normalize('NFKC');
    })
    .replace(/[\u2044\u2215\uff0f]/g, '/')
    .trim();
}

/** The gap that keeps `1¾` from becoming `13/4`. */
function apart(text: string, at: number): string {
  return /\d/.test(text.charAt(at - 1)) ? ' ' : '';
}

function fullSize(small: string): string {
  return [...small]
    .map((character) => Math.max(RAISED.indexOf(character), LOWERED.indexOf(character)))
    .map((digit) => (digit < 0 ? '/' : String(digit)))
    .join('');
}

function readSize(text: string, decimal: DecimalMark): NumberReading {
  if (text.includes('/')) return readFraction(text);
  const grouped = GROUPED_BY_SPACE.exec(text) ?? GROUPED_BY_MARK.exec(text);
  if (grouped) return readGrouped(grouped, decimal);
  if (!PLAIN.test(text)) return { ok: false, problem: 'not-a-number' };
  if (text.includes(decimal === '.' ? ',' : '.')) return { ok: false, problem: 'other-mark' };
  return finite(Number(text.replace(',', '.')));
}

function readFraction(text: string): NumberReading {
  // A sum, or a whole number and thousandths: "1 125/128" is 1.98 or 8.79.
  if (/ - /.test(text) || /\d \d{3} ?\//.test(text)) return { ok: false, problem: 'two-readings' };
  const fraction = /^[\d\s/-]+$/.test(text) ? parseFraction(text) : null;
  if (!fraction) return { ok: false, problem: 'not-a-number' };
  return {
    ok: true,
    value: fraction.numerator / fraction.denominator,
    denominator: Number(/\d+$/.exec(text)?.[0]),
  };
}

function readGrouped(parts: RegExpExecArray, decimal: DecimalMark): NumberReading {
  const [, whole = '', mark = decimal, rest = ''] = parts;
  // One mark cannot both group and part: "1.250.5".
  if (whole.includes(mark)) return { ok: false, problem: 'not-a-number' };
  if (mark !== decimal) return { ok: false, problem: 'other-mark' };
  return finite(Number(`${whole.replace(/\D/g, '')}.${rest}`));
}

function finite(value: number): NumberReading {
  if (!Number.isFinite(value)) return { ok: false, problem: 'too-large' };
  return { ok: true, value, denominator: null };
}
