import type { SheetData } from '../report/html/sheet-data.js';
import type { Entry } from '../sheet/entry.js';
import { readEntry } from '../sheet/entry.js';
import { freshState, type SheetState, type Typed } from './state.js';

/** What of a browser's storage is used. */
export interface Shelf {
  readonly getItem: (key: string) => string | null;
  readonly setItem: (key: string, text: string) => void;
  readonly removeItem: (key: string) => void;
}

/** What was found on opening a sheet. */
export interface Found {
  readonly state: SheetState;
  /** When it was put away (ISO); null where nothing was. */
  readonly when: string | null;
  /** Something lies there that is not of this sheet. */
  readonly isSpoilt: boolean;
}

/** As it is kept: texts as typed, which are read anew. */
interface Kept {
  readonly version: 1;
  readonly when: string;
  readonly at: number;
  readonly takesTries: boolean;
  /** One a place: what was typed, and whether it was questioned and kept. */
  readonly cells: readonly (readonly [string, boolean] | null)[];
  readonly tries: readonly string[];
  readonly questioned: string | null;
}

/**
 * Puts a sheet's state away.
 * @param when ISO date and time
 * @returns whether the browser kept it
 */
export function put(shelf: Shelf | null, sheet: SheetData, state: SheetState, when: string) {
  const kept: Kept = {
    version: 1,
    when,
    at: state.at,
    takesTries: state.takesTries,
    cells: state.entries.map((entry) => entry && [entry.cell, entry.isKept]),
    tries: state.tries.map(({ cell }) => cell),
    questioned: state.questioned?.cell ?? null,
  };
  try {
    shelf?.setItem(sheet.key, JSON.stringify(kept));
    return shelf !== null;
  } catch {
    return false;
  }
}

/** Takes a sheet's state out again; a fresh one where none is kept. */
export function find(shelf: Shelf | null, sheet: SheetData): Found {
  const fresh = { state: freshState(sheet), when: null, isSpoilt: false };
  try {
    const text = shelf?.getItem(sheet.key) ?? null;
    if (text === null) return fresh;
    const kept = JSON.parse(text) as Kept;
    return { state: stateOf(sheet, kept), when: String(kept.when), isSpoilt: false };
  } catch {
    return { ...fresh, isSpoilt: true };
  }
}

/** @throws Error where what was kept is not of this sheet */
function stateOf(sheet: SheetData, kept: Kept): SheetState {
  const { places } = sheet;
  if (kept.version !== 1 || kept.cells.length !== places.length) throw new Error('another sheet');
  const typed = (cell: string): Typed => {
    const reading = readEntry(String(cell), sheet.unit);
    if (!reading.ok) throw new Error(reading.problem);
    return { thickness: reading.thickness, cell: String(cell) };
  };
  const entries = kept.cells.map((cell): Entry | null => {
    return cell && { ...typed(cell[0]), isKept: cell[1] === true };
  });
  if (!Number.isInteger(kept.at) || kept.at < 0 || kept.at > places.length) {
    throw new Error('no such place');
  }
  return {
    entries,
    at: kept.at,
    questioned: kept.questioned === null ? null : typed(kept.questioned),
    tries: kept.tries.map(typed),
    takesTries: kept.takesTries === true,
  };
}

/** Whether a browser keeps anything for this page; some refuse pages opened from a file. */
export function shelfOf(browser: { readonly localStorage: Shelf }): Shelf | null {
  try {
    const shelf = browser.localStorage;
    const probe = 'proofboard probe';
    shelf.setItem(probe, probe);
    shelf.removeItem(probe);
    return shelf;
  } catch {
    return null;
  }
}
