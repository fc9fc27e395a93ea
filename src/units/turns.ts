import { type Fraction, multiple, simplestFraction } from './fraction.js';
import { formatDecimal } from './length.js';
import { parseQuantity, type QuantityReading } from './quantity.js';

const DEGREES_A_TURN = 360;

/** Finer parts of a turn than this are not marked on anything; they are told as decimals. */
const FINEST_SHOWN = 360;

/**
 * Degrees in one unit of angle: whole numbers, so that `22.5°` becomes exactly the sixteenth it is.
 */
const ANGLE_UNITS: ReadonlyMap<string, number> = new Map([
  ...['turn', 'turns', 'of a turn', 'rev', 'revs', 'revolution', 'revolutions'].map(
    (name) => [name, DEGREES_A_TURN] as const,
  ),
  ...['deg', 'degs', 'degree', 'degrees', '°', 'º'].map((name) => [name, 1] as const),
]);

/**
 * Reads a part of a turn: `1/16`, `0.0625`, `1 1/4 turns`, `22.5 deg`, `22.5°`. A number alone is in turns.
 * @returns turns, or what is wrong
 */
export function parseTurns(text: string): QuantityReading {
  const factorOf = (name: string) => ANGLE_UNITS.get(name.toLowerCase()) ?? null;
  const reading = parseQuantity(text, factorOf, DEGREES_A_TURN);
  return 'value' in reading ? { value: reading.value / DEGREES_A_TURN } : reading;
}

/**
 * The size of a turn in words: `1/16 turn`, `1 1/4 turns`; an exact fraction where it is a whole multiple
 * of the finest turn, else a decimal. Which way is for the caller to say.
 * @param turns in turns, of either sign
 * @param finestTurn the smallest part of a turn that can be set, in turns
 */
export function formatTurns(turns: number, finestTurn: number): string {
  const size = Math.abs(turns);
  const steps = Math.round(size / finestTurn);
  const finest = simplestFraction(finestTurn, FINEST_SHOWN);
  const exact = finest && Math.abs(steps * finestTurn - size) < 1e-9 && multiple(finest, steps);
  const number = exact ? mixedNumber(exact) : trimmed(size, 4);
  return `${number} ${size === 0 || size > 1 + 1e-9 ? 'turns' : 'turn'}`;
}

function mixedNumber({ numerator, denominator }: Fraction): string {
  const whole = Math.floor(numerator / denominator);
  const part = numerator - whole * denominator;
  if (part === 0) return `${whole}`;
  return whole === 0 ? `${part}/${denominator}` : `${whole} ${part}/${denominator}`;
}

/** The size of a turn in degrees, to a tenth: `22.5°`. */
export function formatDegrees(turns: number): string {
  return `${trimmed(Math.abs(turns) * DEGREES_A_TURN, 1)}°`;
}

function trimmed(value: number, decimals: number): string {
  return String(Number(formatDecimal(value, decimals)));
}
