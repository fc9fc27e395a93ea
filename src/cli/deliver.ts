import type { Machine } from '../machine/machine.js';
import type { Notice } from '../notices/notice.js';
import { toJson } from '../report/json.js';
import { writeWhole } from './files.js';
import type { OutputOptions } from './options.js';
import { tellNotices } from './tell.js';

type Unit = 'mm' | 'in';

/** A document that a command made, or none where its input has errors; every notice either way. */
export interface Made<Document> {
  readonly machine: Machine | null;
  readonly document: Document | null;
  readonly notices: readonly Notice[];
}

/**
 * Tells what a command made, as text or as JSON, and writes it where `--out` asks for that. Documents
 * speak in the machine's unit whoever reads; people may choose another.
 *
 * @param schema of the document, which with `--json` still comes where there is none
 * @param makeIn makes it with messages in a unit, the machine's where none is given
 * @returns the document; null where there is none, or it could not be written
 */
export async function deliver<Document>(
  schema: string,
  { out, force = false, json, unit: asked }: OutputOptions,
  makeIn: (unit?: Unit) => Promise<Made<Document>>,
  textOf: (document: Document, machine: Machine, unit: Unit) => string,
): Promise<Document | null> {
  const made = await makeIn();
  const isOther = asked !== undefined && asked !== made.machine?.unit;
  const people = isOther && !json ? await makeIn(asked) : made;
  tellNotices(people.notices);
  const { document } = made;
  if (document === null || people.document === null || people.machine === null) {
    refuse(schema, made.notices, json);
    return null;
  }
  const failed = out === undefined ? [] : await writeWhole(out, toJson(document), force);
  tellNotices(failed);
  if (failed.length > 0) {
    refuse(schema, [...made.notices, ...failed], json);
    return null;
  }
  const unit = asked ?? people.machine.unit;
  process.stdout.write(json ? toJson(document) : textOf(people.document, people.machine, unit));
  if (out !== undefined) process.stderr.write(`written: ${out}\n`);
  return document;
}

/** With `--json` a document still comes, with its notices and nothing else. */
export function refuse(schema: string, notices: readonly Notice[], json = false): void {
  if (json) process.stdout.write(toJson({ schema, notices }));
}
