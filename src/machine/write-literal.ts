import { parseDocument } from './toml.js';

/** A text as TOML writes it: in quotes, whatever stands in it. */
export function quoted(text: string): string {
  // TOML takes JSON's escapes, but neither DEL as it is nor half a surrogate pair.
  return JSON.stringify(text.replace(/\p{Cs}/gu, '\ufffd')).replaceAll('\u007f', '\\u007f');
}

/** A value that a TOML file held, written in one line. */
export function literalOfValue(value: unknown): string {
  if (typeof value === 'string') return quoted(value);
  if (value instanceof Date) return value.toISOString().slice(0, 10);
  if (Array.isArray(value)) return `[${value.map(literalOfValue).join(', ')}]`;
  if (typeof value === 'object' && value !== null) {
    const pairs = Object.entries(value).map(
      ([key, inner]) => `${keyText(key)} = ${literalOfValue(inner)}`,
    );
    return pairs.length === 0 ? '{}' : `{ ${pairs.join(', ')} }`;
  }
  if (typeof value === 'number' && !Number.isFinite(value)) {
    return Number.isNaN(value) ? 'nan' : `${value < 0 ? '-' : ''}inf`;
  }
  return String(value);
}

/** The value of one TOML literal; undefined for a text that is none. */
export function valueOfLiteral(literal: string): unknown {
  const parsed = parseDocument(`x = ${literal}\n`);
  return 'document' in parsed ? parsed.document.value.x : undefined;
}

/** A key as TOML writes it: bare where that can be. */
export function keyText(key: string): string {
  return /^[A-Za-z0-9_-]+$/.test(key) ? key : quoted(key);
}
