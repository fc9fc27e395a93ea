import * as v from 'valibot';
import { parseLength } from '../units/length.js';
import { type QuantityReading, withoutNoise } from '../units/quantity.js';
import { parseFeed, parseRotation } from '../units/speed.js';
import { threadPitch } from '../units/thread.js';
import { parseTurns } from '../units/turns.js';
import type { UnitBook } from '../units/unit-book.js';

/** A value of the file read, or what is wrong with it, to follow the key's name. */
type Outcome<T> = { readonly value: T } | { readonly problem: string };

/** A table of keys. TOML's lists of tables, `[[block]]`, are lists and none. */
export function table<const T extends v.ObjectEntries>(entries: T) {
  const keys = v.object(entries);
  return v.lazy((written) => (Array.isArray(written) ? noTable : keys));
}

const noTable = readBy<never>('one table, in single brackets', () => ({
  problem: 'is a list, where one table is expected',
}));

/** Which numbers will do. */
export type Range = 'above-zero' | 'zero-or-more' | 'any';

/** A schema of one reader: what is wrong becomes one issue with what was expected beside it. */
function readBy<T>(expected: string, read: (written: unknown) => Outcome<T>) {
  return v.pipe(
    v.unknown(),
    v.rawTransform<unknown, T>(({ dataset, addIssue, NEVER }) => {
      const outcome = read(dataset.value);
      if ('value' in outcome) return outcome.value;
      addIssue({ message: outcome.problem, expected });
      return NEVER;
    }),
  );
}

function inRange(value: number, range: Range): Outcome<number> {
  if (!Number.isFinite(value)) return { problem: 'is not a finite number' };
  if (range === 'above-zero' && value <= 0) return { problem: 'is not above zero' };
  if (range === 'zero-or-more' && value < 0) return { problem: 'is below zero' };
  return { value };
}

function ofText(reading: QuantityReading, what: string, range: Range): Outcome<number> {
  if ('value' in reading) return inRange(reading.value, range);
  if (reading.fault === 'unit-missing') return { problem: 'has no unit' };
  if (reading.fault === 'unit') {
    return { problem: `has "${reading.text}", which is no unit of ${what} known here` };
  }
  return { problem: `is not a ${what}` };
}

/** A length: a number in the file's unit, or a text with its own. Output in mm. */
export function length(unit: 'mm' | 'in', book: UnitBook, range: Range = 'above-zero') {
  return readBy(`a length, as a number in ${unit} or a text such as "1/4 in"`, (written) => {
    if (typeof written === 'number') {
      const mm = written * book.length(unit)!;
      return inRange(Number.isFinite(mm) ? withoutNoise(mm) : mm, range);
    }
    if (typeof written !== 'string') return { problem: 'is not a length' };
    return ofText(parseLength(written, unit, book.length), 'length', range);
  });
}

/** A speed with its unit, always a text. Output in mm/min or revolutions a minute. */
export function speed(kind: 'feed' | 'rotation', book: UnitBook) {
  const example = kind === 'feed' ? '"9 m/min" or "30 ft/min"' : '"4500 rpm"';
  const parse = kind === 'feed' ? parseFeed : parseRotation;
  const what = kind === 'feed' ? 'feed speed' : 'speed of rotation';
  return readBy(`a text with its unit, such as ${example}`, (written) => {
    if (typeof written === 'number') return { problem: 'has no unit' };
    if (typeof written !== 'string') return { problem: `is not a ${what}` };
    return ofText(parse(written, book[kind]), what, 'above-zero');
  });
}

/** A part of a turn: a number in turns, or a text such as `1/16` or `22.5 deg`. Output in turns. */
export const turns = readBy('a part of a turn, such as "1/16", 0.0625 or "22.5 deg"', (written) => {
  if (typeof written === 'number') return inRange(written, 'above-zero');
  if (typeof written !== 'string') return { problem: 'is not a part of a turn' };
  return ofText(parseTurns(written), 'turn', 'above-zero');
});

/** A plain finite number. */
export const finiteNumber = readBy('a number', (written) =>
  typeof written === 'number' ? inRange(written, 'any') : { problem: 'is not a number' },
);

/** A whole number from 1 up. */
export const countOf = readBy('a whole number, 1 or more', (written) =>
  typeof written === 'number' && Number.isSafeInteger(written) && written >= 1
    ? { value: written }
    : { problem: 'is not a whole number from 1 up' },
);

/** A text that is not blank, in one line. Output without blanks around it. */
export const text = readBy('a text in quotes', (written) => {
  if (typeof written === 'number') return { problem: 'is a number: write it in quotes' };
  if (typeof written !== 'string') return { problem: 'is not a text' };
  if (written.trim() === '') return { problem: 'is blank' };
  if (/\p{Cc}/u.test(written)) return { problem: 'holds a line break or control character' };
  return { value: written.trim() };
});

/** One of a few words. */
export function oneOf<const T extends string>(...words: readonly T[]) {
  const expected = words.map((word) => `"${word}"`).join(' or ');
  return readBy<T>(expected, (written) => {
    const word = words.find((each) => each === written);
    return word === undefined ? { problem: `is not ${expected}` } : { value: word };
  });
}

/** A thread's designation. Output with its pitch in mm. */
export const thread = readBy('a thread such as "M6", "M8x1", "1/4-28" or "#10-32"', (written) => {
  if (typeof written !== 'string') return { problem: 'is not a text' };
  const reading = threadPitch(written);
  if ('pitch' in reading) return { value: { designation: written.trim(), pitch: reading.pitch } };
  const problem = `${reading.problem}; known: ${reading.known.join(', ')}; or give the pitch in its place`;
  return { problem };
});

/** What touches the wood: `point`, `flat 3 mm` (width) or `ball 3 mm` (diameter). Sizes in mm. */
export function contact(unit: 'mm' | 'in', book: UnitBook) {
  return readBy<{ kind: 'flat' | 'point' | 'ball'; size: number | null }>(
    '"point", "flat" with a width or "ball" with a diameter, such as "flat 3 mm"',
    (written) => {
      const [kind, size] = typeof written === 'string' ? splitWord(written) : ['', ''];
      if (kind === 'point' && size === '') return { value: { kind, size: null } };
      if (kind !== 'flat' && kind !== 'ball') return { problem: 'is not a contact known here' };
      const outcome = ofText(parseLength(size, unit, book.length), 'length', 'above-zero');
      if ('value' in outcome) return { value: { kind, size: outcome.value } };
      return { problem: size === '' ? `has no size` : `has a size that ${outcome.problem}` };
    },
  );
}

function splitWord(written: string): [string, string] {
  const [word = '', ...rest] = written.trim().split(/\s+/);
  return [word.toLowerCase(), rest.join(' ')];
}

/** A day: a TOML date, with or without a time, or a text. Output is text; a date's is ISO. */
export const day = readBy('a date such as 2026-11-20, or a text', (written) => {
  // The parser puts local dates into UTC, so the day is the one that was written.
  if (written instanceof Date) return { value: written.toISOString().slice(0, 10) };
  if (typeof written !== 'string' || written.trim() === '') return { problem: 'is not a date' };
  return { value: written.trim() };
});
