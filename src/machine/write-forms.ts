import { plainText } from '../units/plain-text.js';
import { literalOfValue, quoted, valueOfLiteral } from './write-literal.js';
import type { Form, Question } from './write-questions.js';

/** An answer as a TOML literal, or why a text is none, to follow its name. */
export type Written =
  | { readonly literal: string }
  | { readonly problem: string; readonly expected: string };

/**
 * What somebody typed as the TOML literal that a machine file holds for it. Whether the value will do is
 * for the file's own checks to say; here it only has to be clear what was meant.
 */
export function literalOf(question: Question, typed: string): Written {
  const { form } = question;
  if (form === 'text') return { literal: quoted(typed.trim()) };
  const text = unquoted(plainText(typed), form);
  if (form === 'choice') return choice(text, question.words ?? []);
  if (form === 'ids') return knifeIds(text);
  if (form === 'names') return listOf(text, asText, true);
  if (form === 'lengths' || form === 'numbers' || form === 'stock')
    return listOf(text, ELEMENTS[form]);
  return SINGLE[form](text);
}

type OneForm = Exclude<Form, 'text' | 'choice' | 'ids' | 'names' | 'lengths' | 'numbers' | 'stock'>;

const SINGLE: Readonly<Record<OneForm, (text: string) => Written>> = {
  'yes-no': (text) => {
    const word = choice(text, ['yes', 'no', 'true', 'false']);
    if (!('literal' in word)) return { ...word, expected: 'yes or no' };
    return { literal: String(word.literal === '"yes"' || word.literal === '"true"') };
  },
  length: withPoint(quantity),
  repeatability: (text) =>
    /^unknown$/i.test(text) ? { literal: '"unknown"' } : withPoint(quantity)(text),
  turns: withPoint(quantity),
  // A number alone can only be revolutions a minute: nobody speaks of a block otherwise.
  rotation: withPoint((text) => ({ literal: quoted(isNumber(text) ? `${text} rpm` : text) })),
  feed: withPoint(asText),
  contact: withPoint(asText),
  thread: asText,
  count: (text) => ({ literal: isNumber(text) ? numberLiteral(text) : quoted(text) }),
  day: (text) => ({ literal: isDay(text) ? text : quoted(text) }),
};

const ELEMENTS = {
  lengths: withPoint(quantity),
  numbers: withPoint((text) => quantity(text.replace(/\s*(?:°|deg|degrees)$/i, ''))),
  stock: withPoint(shim),
} as const;

/** Quotes round the whole, as somebody copies them from a file; an inch mark stands at one end only. */
function unquoted(text: string, form: Form): string {
  const inner = /^(["'])((?:(?!\1).)*)\1$/.exec(text)?.[2];
  return inner === undefined || form === 'ids' || form === 'names' ? text : inner.trim();
}

function choice(text: string, words: readonly string[]): Written {
  const plain = text.toLowerCase();
  const meant = words.filter((word) => word.startsWith(plain) || SYNONYMS[word]?.includes(plain));
  const word =
    words.find((each) => each === plain) ??
    (plain !== '' && meant.length === 1 ? meant[0] : undefined);
  const expected = words.join(' or ');
  return word === undefined
    ? { problem: `is not ${expected}`, expected }
    : { literal: quoted(word) };
}

const SYNONYMS: Readonly<Record<string, readonly string[]>> = {
  mm: ['millimetre', 'millimetres', 'millimeter', 'millimeters', 'metric'],
  in: ['inch', 'inches', '"', 'imperial'],
  screw: ['screws'],
  shim: ['shims'],
  clockwise: ['cw'],
  anticlockwise: ['ccw', 'acw', 'counterclockwise', 'counter-clockwise', 'anti-clockwise'],
  raise: ['raising', 'up'],
  lower: ['lowering', 'down'],
};

/** Knives by their names, or a count that numbers them. */
function knifeIds(text: string): Written {
  const expected = 'a count such as 4, or names such as 1, 2, 3, 4';
  // A count has no zero in front: 007 is a name.
  if (/^[1-9]\d*$/.test(text)) {
    const count = Number(text);
    if (count >= 1000) return { problem: 'is no count of knives', expected };
    return { literal: literalOfValue(Array.from({ length: count }, (_, i) => String(i + 1))) };
  }
  return listOf(text, asText, true);
}

function asText(text: string): Written {
  return { literal: quoted(text) };
}

/** Elements between `;`, else commas, else blanks; an element in double quotes may hold any of these. */
function listOf(text: string, element: (text: string) => Written, areNames = false): Written {
  const inner = /^\[(.*)\]$/.exec(text)?.[1] ?? text;
  const expected = 'values with commas between them, decimals with a point';
  const parts = split(
    inner.includes('"') ? inner : inner.replace(/ and /gi, inner.includes(',') ? ', ' : '; '),
    areNames,
  );
  if (parts === null) return { problem: 'can be read in two ways', expected };
  const written = parts.map(element);
  const wrong = written.find((each) => 'problem' in each);
  if (wrong) return wrong;
  return {
    literal: `[${written.map((each) => ('literal' in each ? each.literal : '')).join(', ')}]`,
  };
}

const ELEMENT = /"(?:[^"\\]|\\.)*"(?=\s*(?:[,;]|$)|\s)|[^,;\s]+|[,;]|\s+/g;

/** The parts of a list; null where its commas may part values or decimals. */
function split(text: string, areNames: boolean): string[] | null {
  const tokens = text.match(ELEMENT) ?? [];
  const bare = tokens.filter((token) => !isQuoted(token)).join('');
  const mark = [';', ','].find((each) => bare.includes(each));
  if (!areNames && mark === ',' && /\d,\d/.test(bare) && /,\s/.test(bare)) return null;
  const isBreak = (token: string) =>
    mark === undefined ? token.trim() === '' && (areNames || partsByBlanks(bare)) : token === mark;
  const parts: string[][] = [[]];
  for (const token of tokens) {
    if (isBreak(token)) parts.push([]);
    else parts.at(-1)!.push(token);
  }
  const texts = parts.map((part) => part.join('').trim()).filter((part) => part !== '');
  return texts.map((part) => (isQuoted(part) ? String(valueOfLiteral(part) ?? part) : part));
}

function isQuoted(token: string): boolean {
  return token.length > 1 && token.startsWith('"') && token.endsWith('"');
}

/** Blanks part a list only where they cannot belong to a mixed number, a unit or a count of pieces. */
function partsByBlanks(text: string): boolean {
  return !/[/x×*(¼-¾⅐-⅞]|\d\s+[a-zµ"]/i.test(text) || !/\d/.test(text);
}

/** A decimal comma as a point; refused where the comma may group thousands. */
function withPoint(then: (text: string) => Written): (text: string) => Written {
  return (text) => {
    const grouped = /(?<![\d.,])([1-9]\d{0,2}),(\d{3})(?![\d,])/.exec(text);
    if (grouped) {
      const [found, whole, rest] = grouped;
      const expected = `${whole}.${rest} or ${whole}${rest}, as you mean it`;
      return { problem: `has ${found}, which can be read in two ways`, expected };
    }
    return then(
      text.replace(/(\d),(\d)/g, '$1.$2').replace(GROUPED, (digits) => digits.replaceAll(' ', '')),
    );
  };
}

/** A space before exactly three digits groups thousands: `1 250`, `1 250 mm`. */
const GROUPED = /^[1-9]\d{0,2}(?: \d{3})+(?=$|\.\d| ?[a-z"])/i;

/** A plain number as a number in the file's unit, anything else as a text with its own. */
function quantity(text: string): Written {
  return { literal: isNumber(text) ? numberLiteral(text) : quoted(text) };
}

/** A shim's thickness, with a count behind it where there are only so many. */
function shim(text: string): Written {
  const parts = /^(.*?)\s*(?:[x×*]\s*(\d+)|\(\s*(\d+)\s*\))$/i.exec(text);
  if (!parts) return quantity(text);
  const size = quantity(parts[1]!);
  if (!('literal' in size)) return size;
  return { literal: `{ thickness = ${size.literal}, count = ${Number(parts[2] ?? parts[3])} }` };
}

function isNumber(text: string): boolean {
  return /^[-+\u2212]?(?:\d+\.?\d*|\.\d+)$/.test(text);
}

/** The digits that were typed, where TOML takes them. */
function numberLiteral(text: string): string {
  const plain = text.replace('\u2212', '-').replace('+', '');
  return /^-?(?:0|[1-9]\d*)(?:\.\d+)?$/.test(plain) ? plain : String(Number(plain));
}

function isDay(text: string): boolean {
  if (!/^\d{4}-\d\d-\d\d$/.test(text)) return false;
  const date = new Date(`${text}T00:00:00Z`);
  return !Number.isNaN(date.getTime()) && date.toISOString().startsWith(text);
}

/** A literal as somebody would type it; what is not of the form stays as TOML has it. */
export function typedOf({ form }: Question, literal: string): string {
  const value = valueOfLiteral(literal);
  if (form === 'yes-no' && typeof value === 'boolean') return value ? 'yes' : 'no';
  if (value instanceof Date) return value.toISOString().slice(0, 10);
  if (typeof value === 'string') return value;
  if (!Array.isArray(value)) return literal;
  const names = form === 'ids' || form === 'names';
  const parts = value.map((each) => (names ? nameText(each) : elementText(each)));
  // One name that is a number would be taken for a count.
  return names && parts.length === 1 ? literalOfValue(value[0]) : parts.join(', ');
}

function nameText(name: unknown): string {
  if (typeof name !== 'string') return literalOfValue(name);
  return /^[^\s,;"'[\]\\]+$/.test(name) && name.toLowerCase() !== 'and' ? name : quoted(name);
}

function elementText(value: unknown): string {
  if (typeof value !== 'object' || value === null) return String(value);
  const { thickness, count } = value as { thickness?: unknown; count?: unknown };
  return count === undefined ? String(thickness) : `${thickness} x ${count}`;
}
