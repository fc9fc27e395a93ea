import type { Notice } from '../notices/notice.js';
import { everydayUnits, loadEveryUnit, type UnitBook } from '../units/unit-book.js';
import { checkAdjusters } from './check-adjusters.js';
import { checkBed } from './check-bed.js';
import { checkBlock } from './check-block.js';
import { decode } from './decode.js';
import { completed } from './defaults.js';
import { type Draft, draftOf } from './draft.js';
import type { Machine } from './machine.js';
import { doubts } from './plausible.js';
import { type Problem, toNotice } from './problem.js';
import type { Description } from './schema.js';
import { syntaxHint } from './syntax-hint.js';
import { parseDocument, type TomlDocument } from './toml.js';

/** A machine, or null and every error that kept it from being one; warnings in either case. */
export interface MachineReading {
  readonly machine: Machine | null;
  readonly notices: readonly Notice[];
}

/**
 * Reads a machine file (TOML) and checks it. Bad input gives notices with line and column, never an
 * exception; all faults of a file that is TOML come at once.
 * @param file its name, for the notices, and its bytes
 */
export async function readMachine(file: {
  readonly name: string;
  readonly content: Uint8Array;
}): Promise<MachineReading> {
  const decoded = decode(file.content);
  if ('problem' in decoded) {
    const { code, problem, line, hint } = decoded;
    return refused(code, file.name, problem, { line, column: 1 }, hint);
  }
  const parsed = parseDocument(decoded.text);
  if ('problem' in parsed) {
    const { problem, place } = parsed;
    const hint = syntaxHint(decoded.text, parsed);
    return refused('toml-syntax', file.name, `not valid TOML: ${problem}`, place, hint);
  }
  const { document } = parsed;
  const { machine, problems } = await checkDocument(document);
  const notices = problems.map((problem) => toNotice(problem, document, file.name));
  return { machine, notices: notices.toSorted(byPlace) };
}

interface Checked {
  readonly machine: Machine | null;
  readonly problems: readonly Problem[];
}

/** The machine of a document, or null and every problem that kept it from being one. */
export async function checkDocument(document: TomlDocument): Promise<Checked> {
  const everyday = watched(everydayUnits);
  const first = checked(document, everyday.book);
  // Loading all units takes longer than all the rest, so only where the everyday ones did not do.
  return everyday.missed() ? checked(document, await loadEveryUnit()) : first;
}

function refused(
  code: string,
  file: string,
  message: string,
  place: { readonly line: number; readonly column: number },
  hint: string,
): MachineReading {
  return { machine: null, notices: [{ code, severity: 'error', message, file, ...place, hint }] };
}

/** A unit book that remembers whether it was ever asked for a unit it does not have. */
function watched(book: UnitBook): { readonly book: UnitBook; readonly missed: () => boolean } {
  let missed = false;
  const watch = (factorOf: UnitBook['length']) => (name: string) => {
    const factor = factorOf(name);
    missed ||= factor === null;
    return factor;
  };
  const { length, feed, rotation } = book;
  return {
    book: { length: watch(length), feed: watch(feed), rotation: watch(rotation) },
    missed: () => missed,
  };
}

function checked(document: TomlDocument, book: UnitBook): Checked {
  const { draft, problems } = draftOf(document, book);
  const isThere = (table: string) => (key: string) => document.written([table, key]) !== null;
  const errors = [
    ...problems,
    ...checkBlock(draft),
    ...checkAdjusters(draft, isThere('adjusters')),
    ...checkBed(draft, isThere('bed')),
  ];
  if (errors.length > 0) return { machine: null, problems: errors };
  const machine = completed(asWhole(draft));
  return { machine, problems: doubts(machine) };
}

/** A draft from which nothing was left out is the whole description. */
function asWhole(draft: Draft): Description {
  return draft as Description;
}

function byPlace(one: Notice, other: Notice): number {
  return (one.line ?? 0) - (other.line ?? 0) || (one.column ?? 0) - (other.column ?? 0);
}
