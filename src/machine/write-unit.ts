import { parseFraction } from '../units/fraction.js';
import { plainText } from '../units/plain-text.js';
import { literalOfValue, valueOfLiteral } from './write-literal.js';
import type { Form } from './write-questions.js';

const LENGTHS: readonly Form[] = ['length', 'lengths', 'repeatability', 'stock', 'contact'];

/** A literal whose lengths all say their unit: what had none has it now. */
export function withUnit(form: Form, literal: string, unit: 'mm' | 'in'): string {
  if (!LENGTHS.includes(form)) return literal;
  const value = valueOfLiteral(literal);
  const spelt = form === 'contact' ? contactWith(value, unit) : lengthsWith(value, unit);
  return spelt === value ? literal : literalOfValue(spelt);
}

function lengthsWith(value: unknown, unit: string): unknown {
  if (typeof value === 'number') return Number.isFinite(value) ? `${value} ${unit}` : value;
  if (typeof value === 'string') return isBare(value) ? `${value.trim()} ${unit}` : value;
  if (Array.isArray(value)) {
    const spelt = value.map((each) => lengthsWith(each, unit));
    return spelt.every((each, index) => each === value[index]) ? value : spelt;
  }
  if (typeof value !== 'object' || value === null || value instanceof Date) return value;
  const shim = value as { readonly thickness?: unknown };
  const thickness = lengthsWith(shim.thickness, unit);
  return thickness === shim.thickness ? value : { ...shim, thickness };
}

/** `flat 3` is a word and a length. */
function contactWith(value: unknown, unit: string): unknown {
  const size = typeof value === 'string' ? /^\s*\S+\s+(.*)$/.exec(value)?.[1] : undefined;
  return size !== undefined && isBare(size) ? `${String(value).trim()} ${unit}` : value;
}

function isBare(text: string): boolean {
  return parseFraction(plainText(text)) !== null;
}
