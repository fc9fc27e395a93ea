import { type Place, parseDocument, type TomlDocument } from './toml.js';
import { QUESTIONS } from './write-questions.js';

/** A line that is no TOML, and the key that it would have answered. */
export interface DamagedLine {
  readonly key: string;
  readonly place: Place;
  /** What TOML's reader makes of it. */
  readonly problem: string;
  readonly written: string;
}

/** A text of which every damaged line has become a comment. */
export interface Salvaged {
  readonly text: string;
  readonly document: TomlDocument;
  readonly damaged: readonly DamagedLine[];
}

/** With more faults than this, or one that is not of a key's own line, somebody has to look. */
const MOST_LINES = 8;

/**
 * A text that is TOML but for lines of single keys, such as `speed = 4500 rpm` without quotes.
 * @returns null where more than that is wrong
 */
export function salvaged(text: string): Salvaged | null {
  let rest = text;
  const damaged: DamagedLine[] = [];
  while (damaged.length <= MOST_LINES) {
    const parsed = parseDocument(rest);
    if ('document' in parsed) return { text: rest, document: parsed.document, damaged };
    const { place, problem } = parsed;
    const lines = rest.split('\n');
    const written = lines[place.line - 1] ?? '';
    const key = keyOf(lines, place.line - 1);
    if (key === null) return null;
    damaged.push({ key, place, problem, written: written.trim() });
    rest = lines.with(place.line - 1, `# ${written}`).join('\n');
  }
  return null;
}

/** The key of a question that a line gives a value, under the table's header above it. */
function keyOf(lines: readonly string[], index: number): string | null {
  const name = /^\s*([\w.-]+)\s*[=:]/.exec(lines[index] ?? '')?.[1];
  if (name === undefined) return null;
  const header = lines.slice(0, index).findLast((line) => /^\s*\[/.test(line));
  const table = header === undefined ? '' : /^\s*\[\s*([\w.-]+)\s*\]/.exec(header)?.[1];
  const key = table === '' ? name : `${table}.${name}`;
  return QUESTIONS.find((question) => question.key === key)?.key ?? null;
}
