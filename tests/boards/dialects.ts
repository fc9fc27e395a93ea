import fc from 'fast-check';

/** A way to write a table down. */
export interface Dialect {
  readonly separator: ',' | ';' | '\t';
  readonly decimal: '.' | ',';
  readonly encoding: 'utf8' | 'utf8-mark' | 'utf16le' | 'utf16le-mark' | 'utf16be' | 'utf16be-mark';
  readonly newline: '\n' | '\r\n' | '\r';
  readonly quoteAll: boolean;
  readonly unit: 'mm' | 'in' | 'thou' | 'um';
  /** Where the unit is written. */
  readonly unitAt: 'header' | 'value';
  readonly declare: boolean;
}

// One unit in tenths of a micrometre.
const TENTHS = { mm: 10_000, in: 254_000, thou: 254, um: 10 };

export const dialects = fc.record<Dialect>({
  separator: fc.constantFrom(',', ';', '\t'),
  decimal: fc.constantFrom('.', ','),
  encoding: fc.constantFrom(
    'utf8',
    'utf8-mark',
    'utf16le',
    'utf16le-mark',
    'utf16be',
    'utf16be-mark',
  ),
  newline: fc.constantFrom('\n', '\r\n', '\r'),
  quoteAll: fc.boolean(),
  unit: fc.constantFrom('mm', 'in', 'thou', 'um'),
  unitAt: fc.constantFrom('header', 'value'),
  declare: fc.boolean(),
});

/** Ids of all sorts, none of them a number of decimals or a dash. */
export const ids = fc.stringMatching(/^[A-Za-zÄäßж0-9][A-Za-z0-9 _.;,"-]{0,6}[A-Z0-9]$/);

/** Those that a board may have: not words for nobody, nor those for what was not measured. */
export const boardIds = ids.filter(
  (id) => !/^(all|body|mean|bed|highest|lowest|n.?a|k\. ?a|nil)$/i.test(id),
);

/** A length in tenths of a micrometre, with decimals: bare whole numbers have nothing to settle their mark. */
export function written(tenths: number, dialect: Dialect): string {
  const digits = (tenths / TENTHS[dialect.unit]).toFixed(10).replace('.', dialect.decimal);
  return dialect.unitAt === 'value' ? `${digits} ${dialect.unit}` : digits;
}

/** A field in the quotes that it needs. */
export function field(text: string, { separator, quoteAll }: Dialect): string {
  const needed = quoteAll || text.includes(separator) || text.startsWith('"');
  return needed ? `"${text.replaceAll('"', '""')}"` : text;
}

/** Lines as the bytes of a file. */
export function encode(lines: readonly string[], { newline, encoding }: Dialect): Uint8Array {
  const text = lines.map((line) => line + newline).join('');
  const marked = encoding.endsWith('mark') ? `\ufeff${text}` : text;
  if (encoding.startsWith('utf8')) return Buffer.from(marked, 'utf8');
  const bytes = Buffer.from(marked, 'utf16le');
  return encoding.startsWith('utf16be') ? bytes.swap16() : bytes;
}
