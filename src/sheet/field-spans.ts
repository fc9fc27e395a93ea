/** A stretch of text, `to` behind its last character. */
export interface Span {
  readonly from: number;
  readonly to: number;
}

/** A stretch to be replaced. */
export interface Splice extends Span {
  readonly text: string;
}

/** Where each line of a text begins, a byte-order mark not counted, as an editor counts lines. */
export function lineStarts(text: string): number[] {
  const first = /^\ufeff*/.exec(text)![0].length;
  return [
    first,
    ...Array.from(text.matchAll(/\r\n?|\n/g), ({ 0: end, index }) => index + end.length),
  ];
}

/** The field of CSV that begins at a place in the text, with its quotes. */
export function fieldAt(text: string, from: number, separator: string): Span {
  let to = from;
  if (text[to] === '"') {
    to += 1;
    while (to < text.length && (text[to] !== '"' || text[to + 1] === '"')) {
      to += text[to] === '"' ? 2 : 1;
    }
  }
  while (to < text.length && text[to] !== separator && text[to] !== '\r' && text[to] !== '\n') {
    to += 1;
  }
  return { from, to };
}

/** A text with stretches replaced that do not overlap. */
export function replaced(text: string, splices: readonly Splice[]): string {
  let out = '';
  let at = 0;
  for (const { from, to, text: other } of splices.toSorted((a, b) => a.from - b.from)) {
    out += text.slice(at, from) + other;
    at = to;
  }
  return out + text.slice(at);
}
