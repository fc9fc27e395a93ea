import { closest } from 'fastest-levenshtein';
import type { Machine } from '../machine/machine.js';
import type { CellFault } from './cell.js';
import { BODY } from './instrument-reading.js';
import { ALL_KNIVES } from './reading.js';

/** A knife is one of the machine's, or `all`. */
export function knifeFault(id: string, machine: Machine): CellFault | null {
  const known = [...machine.block.knives, ALL_KNIVES];
  return known.includes(id) ? null : idFault(id, known, 'name the knife that cut here');
}

/** A dial indicator touches one knife's edge, or the block's body. */
export function gaugedFault(id: string, machine: Machine): CellFault | null {
  const hint = `name the knife whose edge was gauged, or write ${BODY} for the block's own body`;
  return oneKnifeFault(id, [...machine.block.knives, BODY], hint);
}

/** A rule is carried by one knife's edge. */
export function carryingFault(id: string, machine: Machine): CellFault | null {
  return oneKnifeFault(id, machine.block.knives, 'name the knife whose edge carried the rule');
}

/** A mark is cut by one knife, where it is known by which. */
export function markingFault(id: string, machine: Machine): CellFault | null {
  const hint =
    "write one knife's id, or leave the cell empty where it is not known which knife cut the mark that begins here";
  return oneKnifeFault(id, machine.block.knives, hint, ', or an empty cell');
}

function oneKnifeFault(
  id: string,
  known: readonly string[],
  hint: string,
  or = '',
): CellFault | null {
  if (known.includes(id)) return null;
  const fault = idFault(id, known, hint);
  const expected = fault.expected + or;
  if (id !== ALL_KNIVES) return { ...fault, expected };
  return { code: 'not-one-knife', message: 'this is of one knife, never of all', expected, hint };
}

function idFault(id: string, known: readonly string[], hint: string): CellFault {
  const expected =
    known.length > 1 ? `${known.slice(0, -1).join(', ')} or ${known.at(-1)}` : `${known[0]}`;
  if (id === '') return { code: 'knife-missing', message: 'no knife is named', expected, hint };
  return {
    code: 'unknown-knife',
    message: `the machine has no knife "${id}"`,
    expected,
    hint: `ids are text and must match to the letter; nearest is "${closest(id, [...known])}"`,
  };
}

/** `All` is all knives, `Body` the block's body; every other id is taken to the letter. */
export function knifeId(text: string): string {
  return [ALL_KNIVES, BODY].find((known) => known === text.toLowerCase()) ?? text;
}
