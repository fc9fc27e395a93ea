/** Text that is markup already: put into other markup as it stands. */
export interface Markup {
  readonly markup: string;
}

/** What may stand in a template: text is escaped, markup is not, lists are joined, null is nothing. */
export type Part = string | number | null | Markup | readonly Markup[];

/**
 * Markup from a template, for HTML and SVG alike. Whatever stands in it as text is shown as written:
 * no name from a file can become an element or leave an attribute (attributes stand in double quotes).
 */
export function html(texts: TemplateStringsArray, ...parts: readonly Part[]): Markup {
  return { markup: texts.map((text, i) => text + written(parts[i] ?? null)).join('') };
}

/** Text that its maker vouches for, such as a style sheet. */
export function raw(markup: string): Markup {
  return { markup };
}

function written(part: Part): string {
  if (part === null) return '';
  if (typeof part === 'string') return escaped(part);
  if (typeof part === 'number') return String(part);
  if ('markup' in part) return part.markup;
  return part.map(({ markup }) => markup).join('\n');
}

const ENTITIES: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
};

// Control characters are not allowed in a document, not even as entities.
// biome-ignore lint/suspicious/noControlCharactersInRegex: they are what is looked for.
const CONTROLS = /[\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f]/g;

function escaped(text: string): string {
  return text.replace(CONTROLS, '\ufffd').replace(/[&<>"']/g, (character) => ENTITIES[character]!);
}

/** A record as JSON that can stand within a script element: nothing in it can end the element. */
export function embeddedJson(record: unknown): Markup {
  return raw(JSON.stringify(record).replaceAll('<', '\\u003c'));
}
