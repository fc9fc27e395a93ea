/** Text for people stays within so many columns. */
const WIDTH = 80;

/**
 * A paragraph broken into lines of at most 80 columns.
 *
 * @param first what the first line starts with, such as `  1. `
 * @param rest what the others start with; blanks as wide as `first` when not given
 */
export function wrap(text: string, first = '', rest = ' '.repeat(first.length)): string[] {
  const lines: string[] = [];
  let line = first;
  let isEmpty = true;
  for (const word of text.split(/ +/)) {
    if (!isEmpty && line.length + 1 + word.length > WIDTH) {
      lines.push(line);
      line = rest;
      isEmpty = true;
    }
    line += isEmpty ? word : ` ${word}`;
    isEmpty = false;
  }
  lines.push(line);
  return lines;
}

/** A section: its heading, then its lines; nothing where there are none. */
export function section(heading: string, lines: readonly string[]): string[] {
  return lines.length === 0 ? [] : ['', heading, ...lines];
}

/** Columns of text lined up: each column as wide as its widest cell. */
export function table(rows: readonly (readonly string[])[], indent: string): string[] {
  const widths = (rows[0] ?? []).map((_, column) =>
    Math.max(...rows.map((row) => row[column]!.length)),
  );
  return rows.map((row) =>
    (indent + row.map((cell, column) => cell.padEnd(widths[column]!)).join('  ')).trimEnd(),
  );
}

/** A text with a capital letter at its beginning. */
export function sentence(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
