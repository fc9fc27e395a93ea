import { namesNothing } from './checks.js';

/**
 * A text as one field of CSV: guarded by an apostrophe where a spreadsheet would take it for a formula
 * or the reader for a comment, a guard or a blank; in quotes where it holds a separator or a quote.
 */
export function csvField(text: string): string {
  const isOdd = /^[\s=+\-@#'"]/.test(text) || namesNothing(text);
  const guarded = isOdd ? `'${text}` : text;
  return /[",;\n\t]/.test(guarded) ? `"${guarded.replaceAll('"', '""')}"` : guarded;
}
