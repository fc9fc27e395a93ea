import type { Notice } from '../notices/notice.js';
import { parseLength } from '../units/length.js';
import type { QuantityReading } from '../units/quantity.js';
import { parseFeed } from '../units/speed.js';
import { everydayUnits, loadEveryUnit, type UnitBook } from '../units/unit-book.js';
import type { Wish } from './wanted-feeds.js';

/** What is asked of the marks, as people write it. */
export interface MarksAsked {
  readonly pitch?: string;
  readonly ridge?: string;
  readonly allShow?: boolean;
  readonly feed?: string;
}

/**
 * Reads what is asked of the marks; lengths and speeds are written as in machine files.
 *
 * @param unit of a length that is a number alone
 * @returns wishes in mm and the feed in mm/min, or an error for each that cannot be read
 */
export async function readAsked(
  asked: MarksAsked,
  unit: 'mm' | 'in',
): Promise<{
  readonly wishes: readonly Wish[];
  readonly feedSpeed?: number;
  readonly notices: readonly Notice[];
}> {
  const notices: Notice[] = [];
  const read = async (text: string | undefined, option: keyof typeof OPTIONS) => {
    if (text === undefined) return undefined;
    const reading = await quantityOf((book) => OPTIONS[option].read(text, unit, book));
    if ('value' in reading && reading.value > 0) return reading.value;
    notices.push(unreadable(option, text, reading, unit));
    return undefined;
  };
  const pitch = await read(asked.pitch, '--pitch');
  const ridge = await read(asked.ridge, '--ridge');
  const feedSpeed = await read(asked.feed, '--feed');
  const wishes: Wish[] = [
    ...(pitch === undefined ? [] : [{ wish: 'pitch', value: pitch } as const]),
    ...(ridge === undefined ? [] : [{ wish: 'ridge-height', value: ridge } as const]),
    ...(asked.allShow ? [{ wish: 'all-show', value: null } as const] : []),
  ];
  return { wishes, ...(feedSpeed === undefined ? {} : { feedSpeed }), notices };
}

/** Tried with the everyday units first: loading all takes longer than all else. */
async function quantityOf(read: (book: UnitBook) => QuantityReading): Promise<QuantityReading> {
  const reading = read(everydayUnits);
  return 'fault' in reading && reading.fault === 'unit' ? read(await loadEveryUnit()) : reading;
}

interface Asked {
  readonly what: string;
  readonly example: string;
  readonly read: (text: string, unit: 'mm' | 'in', book: UnitBook) => QuantityReading;
}

const length = (text: string, unit: 'mm' | 'in', book: UnitBook) =>
  parseLength(text, unit, book.length);

const OPTIONS = {
  '--pitch': { what: 'length', example: '"1.5 mm" or "1/16 in"', read: length },
  '--ridge': { what: 'length', example: '"8 um" or "0.3 thou"', read: length },
  '--feed': {
    what: 'feed speed',
    example: '"9 m/min" or "30 ft/min"',
    read: (text, _unit, book) => parseFeed(text, book.feed),
  },
} satisfies Record<string, Asked>;

function unreadable(
  option: keyof typeof OPTIONS,
  text: string,
  reading: QuantityReading,
  unit: 'mm' | 'in',
): Notice {
  const { what, example } = OPTIONS[option];
  const alone = what === 'length' ? `, or a number in ${unit}` : '';
  return {
    code: 'bad-option',
    severity: 'error',
    message: `${option} ${faultOf(reading, what)}`,
    found: text.trim() === '' ? 'nothing' : text,
    expected: `a ${what} above zero with its unit, such as ${example}${alone}`,
    hint: 'write the number with a decimal point or as a fraction, and put quotes about number and unit',
  };
}

function faultOf(reading: QuantityReading, what: string): string {
  if ('value' in reading) return 'is not above zero';
  if (reading.fault === 'unit-missing') return 'has no unit';
  if (reading.fault === 'unit') {
    return `has "${reading.text}", which is no unit of ${what} known here`;
  }
  return `is not a ${what}`;
}
