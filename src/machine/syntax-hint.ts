import type { Place } from './toml.js';

/** What to do about a text that is not TOML: first whether it is another kind of file altogether. */
export function syntaxHint(text: string, fault: { problem: string; place: Place }): string {
  const start = text.trimStart();
  if (/^[{<]/.test(start)) {
    return 'This looks like another kind of file. Give the machine file, which is TOML, first.';
  }
  if (looksLikeCsv(start)) {
    return 'This looks like a table of readings. Give the machine file first, then the readings.';
  }
  if (/multiple times/.test(fault.problem)) return 'Leave one of the two out.';
  const line = text.split(/\r\n|\n/)[fault.place.line - 1] ?? '';
  return (
    HINTS.find(({ sign }) => sign.test(line))?.hint ?? 'Look at this line and the one before it.'
  );
}

function looksLikeCsv(text: string): boolean {
  const [header = ''] = text.split(/\r?\n/).filter((line) => !/^(#|sep=)/.test(line));
  return /[,;\t]/.test(header) && !/[=[]/.test(header);
}

/** The commonest slips, by what the faulty line looks like. */
const HINTS: readonly { readonly sign: RegExp; readonly hint: string }[] = [
  { sign: /=\s*-?\d+,\d/, hint: 'The decimal mark in a machine file is the point: 1.5, not 1,5.' },
  { sign: /[“”‘’]/, hint: 'Write straight quotes: "M6".' },
  {
    sign: /=\s*[\d./ -]+\s*[a-zµ°"']/i,
    hint: 'A text, such as a number with a unit, stands in quotes: "4500 rpm".',
  },
  { sign: /=\s*[a-zµ]/i, hint: 'A text stands in quotes: raised_by = "anticlockwise".' },
  {
    sign: /=\s*\[[^\],]*\s[^\],]*\]?/,
    hint: 'Put commas between the values of a list: [40, 480].',
  },
  { sign: /^\s*[\w-]+\s*:/, hint: 'Write = between key and value: length = 520.' },
];
