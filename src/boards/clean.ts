import { plainText } from '../units/plain-text.js';

/**
 * A field's text without what a spreadsheet put round it.
 * @param field as the CSV reader gives it
 * @returns `guarded` where a text guard (`="007"`, a leading apostrophe) was taken off
 */
export function clean(field: string): { readonly text: string; readonly guarded: boolean } {
  const text = plainText(field);
  const formula = /^="(.*)"$/s.exec(text);
  if (formula) return { text: plainText(formula[1]!.replaceAll('""', '"')), guarded: true };
  if (text.startsWith("'")) return { text: text.slice(1), guarded: true };
  // A space before the opening quote makes the quotes part of the field.
  const quoted = /^"(.*)"$/s.exec(text);
  return { text: quoted ? plainText(quoted[1]!.replaceAll('""', '"')) : text, guarded: false };
}
