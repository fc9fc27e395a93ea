import * as v from 'valibot';
import type { Notice } from '../notices/notice.js';
import type { SourceFile } from './source.js';

/** A kind of JSON document that the program writes and reads back. */
export interface DocumentKind<Shape extends v.GenericSchema> {
  /** `result`, `plan`: as it is called in messages, and within its schema's name. */
  readonly name: string;
  /** How its file is made, as a sentence for those who gave another. */
  readonly hint: string;
  readonly shape: Shape;
}

/** A document, or null and what is wrong with the file. */
export interface ReadDocument<Document> {
  readonly document: Document | null;
  readonly notices: readonly Notice[];
}

/**
 * Reads a document of the first version of its schema.
 *
 * @returns what the shape says, the rest carried along unread; notices where the file is another
 */
export function readDocument<Shape extends v.GenericSchema>(
  file: SourceFile,
  { name, hint, shape }: DocumentKind<Shape>,
): ReadDocument<v.InferOutput<Shape>> {
  const refuse = (message: string, what: string) => ({
    document: null,
    notices: [
      { code: `bad-${name}`, severity: 'error', message, file: file.name, hint: what } as const,
    ],
  });
  let json: unknown;
  try {
    json = JSON.parse(new TextDecoder().decode(file.content));
  } catch {
    return refuse('this is not a JSON file', hint);
  }
  const schema = String((json as { schema?: unknown } | null)?.schema ?? '');
  const version = new RegExp(`^proofboard/${name}@(\\d+)$`).exec(schema)?.[1];
  if (version !== undefined && Number(version) > 1) {
    return refuse(
      `this ${name} was written by a newer proofboard (${schema})`,
      'install the newer version; this one cannot read it',
    );
  }
  const parsed = v.safeParse(shape, json);
  if (parsed.success) return { document: parsed.output, notices: [] };
  const [issue] = parsed.issues;
  const where = v.getDotPath(issue) ?? 'the document';
  const isAnother = where === 'schema' || where === 'the document';
  const found = `is ${issue.received}, expected ${issue.expected ?? 'something else'}`;
  const why = isAnother ? '' : `: ${where} ${issue.type === 'check' ? issue.message : found}`;
  return refuse(`this is not a ${name} of proofboard${why}`, hint);
}
