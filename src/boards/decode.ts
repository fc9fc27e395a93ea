import type { Notice } from '../notices/notice.js';

/** A file as it was read from a disk or from standard input. */
export interface InputFile {
  readonly name: string;
  readonly content: Uint8Array;
}

/** Lines end in `\n` and there is no byte-order mark; null where there is nothing to be read. */
export interface DecodedText {
  readonly text: string | null;
  readonly notices: readonly Notice[];
}

type Encoding = 'utf-8' | 'utf-16le' | 'utf-16be';

const SAVE_AS_CSV =
  'open it in the spreadsheet and save the sheet as CSV, separated by comma, semicolon or tab';

// Control-Z and what padding follows it.
const END_OF_FILE = new RegExp(`${String.fromCharCode(0x1a)}+\\s*$`);

/** First bytes of files that people take for a CSV file; from the formats' published specifications. */
const OTHER_KINDS: readonly (readonly [string, string])[] = [
  ['504b0304', 'a spreadsheet workbook (xlsx, ods) or another zip archive'],
  ['d0cf11e0', 'a spreadsheet workbook in the old xls format'],
  ['25504446', 'a PDF document'],
  ['1f8b', 'a compressed file (gzip)'],
  ['7b5c727466', 'a rich text document'],
];

/**
 * Turns the bytes of a CSV file into text: UTF-8 or UTF-16 of either byte order, with or without a
 * byte-order mark, or, with a warning, the one-byte characters of older Windows spreadsheets.
 * @returns text null with an error for an empty file, a workbook or any other binary file
 */
export function decode(file: InputFile): DecodedText {
  const kind = otherKind(file.content);
  if (kind) return refused(file, 'not-a-csv-file', `${file.name} is ${kind}`);
  const encoding = encodingOf(file.content);
  const exact = decodeAs(file.content, encoding);
  const text = exact ?? (encoding === 'utf-8' ? asWindows1252(file.content) : null);
  // The end-of-file mark of old programs is no content.
  const whole = text?.replace(END_OF_FILE, '') ?? null;
  // Control characters other than blanks and line ends tell a binary file.
  if (whole === null || /[^\P{Cc}\s\u0080-\u009f]/u.test(whole)) {
    return refused(file, 'not-a-csv-file', `${file.name} is not a text file`);
  }
  if (/<(?:!doctype|html|\?xml|table|workbook)\b/i.test(whole.slice(0, 200))) {
    return refused(file, 'not-a-csv-file', `${file.name} is a web page or XML, not CSV`);
  }
  if (whole.trim() === '') return refused(file, 'empty-file', `${file.name} is empty`);
  const lines = whole.replace(/^\ufeff+/, '').replace(/\r\n?/g, '\n');
  return { text: lines, notices: exact === null ? [oldCharacters(file, lines)] : [] };
}

function otherKind(content: Uint8Array): string | null {
  const start = Buffer.from(content.subarray(0, 8)).toString('hex');
  return OTHER_KINDS.find(([magic]) => start.startsWith(magic))?.[1] ?? null;
}

function encodingOf(content: Uint8Array): Encoding {
  const [first, second] = content;
  if (first === 0xff && second === 0xfe) return 'utf-16le';
  if (first === 0xfe && second === 0xff) return 'utf-16be';
  // Without a mark, UTF-16 shows by a zero byte in every digit, letter and separator.
  const zeros: [number, number] = [0, 0];
  content.forEach((byte, at) => {
    if (byte === 0) zeros[(at % 2) as 0 | 1] += 1;
  });
  const many = content.length / 4;
  if (zeros[1] > many && zeros[0] < zeros[1] / 10) return 'utf-16le';
  if (zeros[0] > many && zeros[1] < zeros[0] / 10) return 'utf-16be';
  return 'utf-8';
}

function decodeAs(content: Uint8Array, encoding: Encoding): string | null {
  try {
    return new TextDecoder(encoding, { fatal: true }).decode(content);
  } catch {
    return null;
  }
}

// Where Windows-1252 differs from Latin-1; the runtime's own decoder leaves these as control characters.
const WINDOWS_80_TO_9F = '€\u0081‚ƒ„…†‡ˆ‰Š‹Œ\u008dŽ\u008f\u0090‘’“”•–—˜™š›œ\u009džŸ';

function asWindows1252(content: Uint8Array): string {
  return Buffer.from(content)
    .toString('latin1')
    .replace(/[\u0080-\u009f]/g, (character) => WINDOWS_80_TO_9F[character.charCodeAt(0) - 0x80]!);
}

function refused(file: InputFile, code: string, message: string): DecodedText {
  return {
    text: null,
    notices: [
      {
        code,
        severity: 'error',
        message,
        file: file.name,
        line: 1,
        column: 1,
        expected: 'readings as CSV text',
        hint: code === 'empty-file' ? 'put a header row and readings into it' : SAVE_AS_CSV,
      },
    ],
  };
}

/** Latin-1 and Windows-1252 agree on µ, ½, ° and the no-break space, which is what matters here. */
function oldCharacters(file: InputFile, text: string): Notice {
  const before = text.slice(0, text.search(/[\u0080-\uffff]/)).split('\n');
  return {
    code: 'old-encoding',
    severity: 'warning',
    message: 'the file is not UTF-8; it was read as Windows-1252',
    file: file.name,
    line: before.length,
    column: before.at(-1)!.length + 1,
    hint: 'check ids and signs that are not plain letters, or save the file as "CSV UTF-8"',
  };
}
