import Papa from 'papaparse';
import type { Notice } from '../notices/notice.js';
import { clean } from './clean.js';

export type Separator = ',' | ';' | '\t';

/** One field of a row, and where an editor shows its first character. */
export interface Cell {
  /** Plain text: no guards, no odd spaces, no invisible marks. */
  readonly text: string;
  /** True where a spreadsheet's text guard said that this is text as it stands. */
  readonly guarded: boolean;
  /** Its place in the row, from 0. */
  readonly index: number;
  readonly file: string;
  readonly line: number;
  readonly column: number;
}

/** A row that is neither blank nor a comment. It has at least one cell. */
export interface Row {
  readonly line: number;
  readonly cells: readonly Cell[];
}

/** A row that starts with `#`, without that sign, its cells joined by the separator. */
export interface Comment {
  readonly cell: Cell;
  readonly text: string;
}

export interface Table {
  readonly file: string;
  readonly separator: Separator;
  readonly rows: readonly Row[];
  readonly comments: readonly Comment[];
  /** What is wrong with the quotes. */
  readonly notices: readonly Notice[];
}

/** A row as papaparse gives it, or a comment line as it stands, and where it starts in the text. */
interface RawRow {
  readonly start: number;
  readonly fields: readonly string[];
  readonly errors: readonly Papa.ParseError[];
}

/**
 * Splits text into rows of cells.
 * @param text lines end in `\n`; a `sep=` line is to be blanked, not cut off, so that lines count right
 * @returns rows and comments with the lines and columns of the file, and an error for each broken quote
 */
export function parseTable(file: string, text: string, separator: Separator): Table {
  const placeOf = placesIn(text);
  const rows: Row[] = [];
  const comments: Comment[] = [];
  const notices: Notice[] = [];
  for (const raw of split(text, separator)) {
    const cells = cellsOf(raw, text, separator).map(({ field, at }, index): Cell => {
      // Spelled out for speed: there is one of these for every cell, under each separator tried.
      const { text: plain, guarded } = clean(field);
      const { line, column } = placeOf(at);
      return { text: plain, guarded, index, file, line, column };
    });
    const first = cells[0]!;
    const broken = raw.errors.map((error) => quoteNotice(error, file, placeOf));
    if (broken.length === 0) broken.push(...swallowed(raw.fields, cells, separator));
    if (first.text.startsWith('#') && !first.guarded) {
      comments.push({ cell: first, text: raw.fields.join(separator).replace(/^[^#]*#/, '') });
    } else if (broken.length > 0) {
      notices.push(broken[0]!);
    } else if (cells.some((cell) => cell.text !== '')) {
      rows.push({ line: first.line, cells });
    }
  }
  return { file, separator, rows, comments, notices };
}

function split(text: string, separator: Separator): RawRow[] {
  const rows: RawRow[] = [];
  let start = 0;
  const takeComments = () => {
    // papaparse passes over these lines too, so that a quote in a comment opens nothing.
    while (text[start] === '#') {
      const end = text.indexOf('\n', start);
      const line = text.slice(start, end < 0 ? text.length : end);
      rows.push({ start, fields: line.split(separator), errors: [] });
      start = end < 0 ? text.length : end + 1;
    }
  };
  Papa.parse<string[]>(text, {
    delimiter: separator,
    newline: '\n',
    comments: '#',
    step: ({ data, errors, meta }) => {
      takeComments();
      rows.push({ start, fields: data, errors });
      start = meta.cursor;
    },
  });
  takeComments();
  return rows;
}

function cellsOf(
  raw: RawRow,
  text: string,
  separator: Separator,
): { readonly field: string; readonly at: number }[] {
  let at = raw.start;
  const last = raw.fields.length - 1;
  return raw.fields.map((field, index) => {
    const cell = { field, at };
    // Behind the last field the next separator may be a whole file away.
    if (index === last) return cell;
    if (text[at] === '"') {
      at += 1;
      while (at < text.length && (text[at] !== '"' || text[at + 1] === '"')) {
        at += text[at] === '"' ? 2 : 1;
      }
    }
    const end = text.indexOf(separator, at);
    at = end < 0 ? text.length : end + 1;
    return cell;
  });
}

function placesIn(text: string): (at: number) => { line: number; column: number } {
  const starts = [0];
  for (let at = text.indexOf('\n'); at >= 0; at = text.indexOf('\n', at + 1)) starts.push(at + 1);
  return (at) => {
    let [low, high] = [0, starts.length];
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (starts[middle]! <= at) low = middle;
      else high = middle;
    }
    return { line: low + 1, column: at - starts[low]! + 1 };
  };
}

function quoteNotice(
  error: Papa.ParseError,
  file: string,
  placeOf: (at: number) => { line: number; column: number },
): Notice {
  const open = error.code === 'MissingQuotes';
  return {
    code: open ? 'unclosed-quote' : 'broken-quote',
    severity: 'error',
    message: open
      ? 'a quote opens here and never closes'
      : 'text follows the closing quote of this field',
    file,
    // papaparse counts from behind the opening quote.
    ...placeOf(Math.max(0, (error.index ?? 1) - 1)),
    found: '"',
    expected: 'a field in a pair of quotes, each quote within it doubled',
    hint: open
      ? 'close the quote, or take it away'
      : 'write 3/4" as "3/4""" or without quotes round it',
  };
}

// A remark of several lines may hold a separator or two; a reading has five cells.
const FEWEST_CELLS = 5;

/** A quote left open on one line and closed by the next one swallows whole rows. */
function swallowed(
  fields: readonly string[],
  cells: readonly Cell[],
  separator: Separator,
): Notice[] {
  const filled = (line: string) => line.split(separator).filter((part) => part !== '').length;
  const at = fields.findIndex((field) => {
    const [, ...further] = field.split('\n');
    return further.some((line) => filled(line) >= FEWEST_CELLS);
  });
  const cell = cells[at];
  if (!cell) return [];
  return [
    {
      code: 'unclosed-quote',
      severity: 'error',
      message: 'a quote opens here and closes only on a later line, with whole rows between',
      file: cell.file,
      line: cell.line,
      column: cell.column,
      found: '"',
      expected: 'the closing quote on the same line',
      hint: 'close the quote, or take it away',
    },
  ];
}
