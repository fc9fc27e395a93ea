import { inflateSync } from 'node:zlib';

/** A page of a PDF: its size in points, and the runs of text on it in the order of drawing. */
export interface PdfPage {
  readonly width: number;
  readonly height: number;
  readonly texts: readonly string[];
}

type Objects = ReadonlyMap<string, string>;
type Glyphs = ReadonlyMap<number, string>;

/**
 * Reads the pages of a PDF as Chromium writes it: version 1.4, objects one after another, streams
 * deflated, texts as glyph numbers with a table that says which characters they stand for.
 */
export function pdfPages(pdf: Uint8Array): PdfPage[] {
  const objects = objectsOf(Buffer.from(pdf).toString('latin1'));
  const fonts = new Map<string, Font>();
  for (const [number, body] of objects) {
    if (/\/Type \/Font\b/.test(body) && body.includes('/ToUnicode')) {
      fonts.set(number, fontOf(body, objects));
    }
  }
  return [...objects.values()]
    .filter((body) => /\/Type \/Page\b(?!s)/.test(body))
    .map((body) => {
      const [, width, height] = /\/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]/.exec(body)!;
      return { width: Number(width), height: Number(height), texts: textsOf(body, objects, fonts) };
    });
}

function objectsOf(text: string): Objects {
  const found = text.matchAll(/(\d+) 0 obj\n(.*?)\nendobj/gs);
  return new Map([...found].map((match) => [match[1]!, match[2]!]));
}

function streamOf(body: string): string {
  const raw = /stream\r?\n(.*)\r?\nendstream/s.exec(body)![1]!;
  const bytes = Buffer.from(raw, 'latin1');
  return body.includes('/FlateDecode') ? inflateSync(bytes).toString('latin1') : raw;
}

interface Font {
  /** Bytes a glyph. */
  readonly width: 1 | 2;
  readonly glyphs: Glyphs;
}

function fontOf(body: string, objects: Objects): Font {
  const table = streamOf(objects.get(/\/ToUnicode (\d+) 0 R/.exec(body)![1]!)!);
  const glyphs = new Map<number, string>();
  for (const block of table.matchAll(/beginbfchar\n(.*?)endbfchar/gs)) {
    for (const [, glyph, characters] of block[1]!.matchAll(/<(\w+)> <(\w+)>/g)) {
      glyphs.set(Number.parseInt(glyph!, 16), utf16(characters!));
    }
  }
  for (const block of table.matchAll(/beginbfrange\n(.*?)endbfrange/gs)) {
    for (const [, from, to, first] of block[1]!.matchAll(/<(\w+)> <(\w+)> <(\w+)>/g)) {
      const [start, end] = [Number.parseInt(from!, 16), Number.parseInt(to!, 16)];
      for (let glyph = start; glyph <= end; glyph++) {
        glyphs.set(glyph, String.fromCharCode(Number.parseInt(first!, 16) + glyph - start));
      }
    }
  }
  return { width: body.includes('/Type3') ? 1 : 2, glyphs };
}

function utf16(hex: string): string {
  return hex.replace(/.{4}/g, (unit) => String.fromCharCode(Number.parseInt(unit, 16)));
}

function textsOf(page: string, objects: Objects, fonts: ReadonlyMap<string, Font>): string[] {
  const named = new Map(
    [...page.matchAll(/\/(F\d+) (\d+) 0 R/g)].map((match) => [match[1]!, fonts.get(match[2]!)!]),
  );
  const content = streamOf(objects.get(/\/Contents (\d+) 0 R/.exec(page)![1]!)!);
  return [...content.matchAll(/BT\n(.*?)ET/gs)].map(([, run]) => {
    let font: Font | undefined;
    let text = '';
    for (const [, name, hex] of run!.matchAll(/\/(F\d+) [\d.]+ Tf|<([0-9A-F]+)> Tj/g)) {
      if (name) font = named.get(name);
      else text += shown(hex!, font!);
    }
    return text;
  });
}

function shown(hex: string, { width, glyphs }: Font): string {
  const codes = hex.match(new RegExp(`.{${2 * width}}`, 'g')) ?? [];
  return codes.map((code) => glyphs.get(Number.parseInt(code, 16)) ?? '\ufffd').join('');
}
