/** An exact number: two safe integers in lowest terms, the denominator positive. */
export interface Fraction {
  readonly numerator: number;
  readonly denominator: number;
}

const VULGAR = '¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞';
const DECIMAL = /^(\d*)(?:\.(\d+))?$/;
const MIXED = /^(?:(\d+)(?:\s+|-))?(\d+)\s*\/\s*(\d+)$/;

/**
 * Reads a number exactly: `3`, `0.0625`, `.5`, `1/16`, `1 1/4`, `1-1/4`, `¼`, `1¾`, with or without a sign.
 * The decimal mark is the point; digits are not grouped.
 * @returns null when the text is anything else, has a zero denominator, or needs more than 15 digits
 */
export function parseFraction(text: string): Fraction | null {
  const plain = spellOut(text);
  const sign = /^[+-]/.exec(plain)?.[0] ?? '';
  const size = parseSize(plain.slice(sign.length).trim());
  return size && sign === '-' ? { ...size, numerator: 0 - size.numerator } : size;
}

/** Vulgar characters as `1/4`, every minus and slash as the keyboard's. */
function spellOut(text: string): string {
  return text
    .replace(new RegExp(`[${VULGAR}]`, 'g'), (character) => ` ${character.normalize('NFKC')}`)
    .replaceAll('\u2044', '/')
    .replaceAll('\u2212', '-')
    .trim();
}

function parseSize(text: string): Fraction | null {
  const decimal = DECIMAL.exec(text);
  if (decimal && text !== '') {
    const [, whole = '', part = ''] = decimal;
    return reduced(Number(whole + part), 10 ** part.length);
  }
  const mixed = MIXED.exec(text);
  if (!mixed) return null;
  const [numerator, denominator] = [Number(mixed[2]), Number(mixed[3])];
  // "1 5/4" is more likely a slip than nine quarters.
  if (mixed[1] !== undefined && numerator >= denominator) return null;
  return reduced(Number(mixed[1] ?? 0) * denominator + numerator, denominator);
}

function reduced(numerator: number, denominator: number): Fraction | null {
  if (!Number.isSafeInteger(numerator) || !Number.isSafeInteger(denominator)) return null;
  if (denominator === 0) return null;
  const divisor = greatestDivisor(numerator, denominator);
  return { numerator: numerator / divisor, denominator: denominator / divisor };
}

function greatestDivisor(a: number, b: number): number {
  return b === 0 ? a : greatestDivisor(b, a % b);
}

/** A whole multiple of a fraction, in lowest terms; null beyond safe integers. */
export function multiple(fraction: Fraction, times: number): Fraction | null {
  const size = reduced(Math.abs(times) * fraction.numerator, fraction.denominator);
  return size && times < 0 ? { ...size, numerator: 0 - size.numerator } : size;
}

/**
 * The fraction a floating-point number was made from: its simplest convergent within 1e-12 of it.
 * @returns null when none has a denominator up to `largestDenominator`
 */
export function simplestFraction(value: number, largestDenominator: number): Fraction | null {
  let [before, beforeOver] = [0, 1];
  let [numerator, denominator] = [1, 0];
  let rest = Math.abs(value);
  while (Number.isFinite(rest)) {
    const whole = Math.floor(rest);
    [before, numerator] = [numerator, whole * numerator + before];
    [beforeOver, denominator] = [denominator, whole * denominator + beforeOver];
    if (denominator > largestDenominator) return null;
    if (Math.abs(numerator / denominator - Math.abs(value)) <= 1e-12) {
      return { numerator: value < 0 ? 0 - numerator : numerator, denominator };
    }
    rest = 1 / (rest - whole);
  }
  return null;
}
