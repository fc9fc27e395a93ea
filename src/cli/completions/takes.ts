/** What may stand in the place of an argument or of an option's value. */
export type Takes =
  | { readonly kind: 'words'; readonly words: readonly string[] }
  | { readonly kind: 'command' }
  /** Names of files with one of these endings; with any where there are none. */
  | { readonly kind: 'file'; readonly endings: readonly string[] }
  /** The name of such a file, and then more of the same word. */
  | { readonly kind: 'place'; readonly endings: readonly string[] }
  | { readonly kind: 'text' };

const ENDINGS: Readonly<Record<string, readonly string[]>> = {
  toml: ['toml'],
  csv: ['csv', 'tsv', 'txt'],
  json: ['json'],
};

/**
 * Tells what an argument or an option's value takes by what the help says of it:
 *
 * - its choices; the words that stand in place of its name (`mm|in`); or those that its description
 *   lists (`line: mean, bed or a knife id`);
 * - files of the format that its name ends in (`result.json`) or that its description has in
 *   brackets (`readings (CSV)`); what is written may be called anything;
 * - a command's name, of an argument that is called so;
 * - else any text.
 *
 * @param name what stands between the angle brackets: `machine`, `file:line`
 */
export function takesOf(
  name: string,
  description: string,
  choices: readonly string[] | undefined,
  isWritten: boolean,
): Takes {
  const words = choices ?? (name.includes('|') ? name.split('|') : null);
  if (words) return { kind: 'words', words: words.filter(isPlain) };
  if (name === 'command') return { kind: 'command' };
  if (name === 'file:line') return { kind: 'place', endings: ENDINGS.csv! };
  const format = /\.(toml|csv|json)$/i.exec(name) ?? /\((toml|csv|json)\)/i.exec(description);
  const isFile = format !== null || name === 'file';
  if (isFile) return { kind: 'file', endings: isWritten ? [] : endingsOf(format?.[1]) };
  const listed = /: ([a-z]+(?:, [a-z]+)+)(?=$|;| or | \()/.exec(description);
  return listed ? { kind: 'words', words: listed[1]!.split(', ') } : { kind: 'text' };
}

function endingsOf(format: string | undefined): readonly string[] {
  return ENDINGS[format?.toLowerCase() ?? ''] ?? [];
}

/** Words that a shell would want quoted are left to be typed. */
function isPlain(word: string): boolean {
  return /^[\w.,/+-]+$/.test(word);
}
