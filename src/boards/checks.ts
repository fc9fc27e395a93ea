import { closest } from 'fastest-levenshtein';
import type { Machine } from '../machine/machine.js';
import { type CellFault, saysNotMeasured } from './cell.js';
import { ALL_KNIVES, type Cut } from './reading.js';

export const THINNEST = 3;
export const THICKEST = 500;
/** No board that goes through a thicknesser is longer; mm. */
export const LONGEST_BOARD = 20_000;

// Positions converted from inches miss the block's end by the last decimal.
export const SLACK = 1e-6;
const CUTS: readonly Cut[] = ['hand', 'proud', 'full'];
const NOBODYS_IDS = ['all', 'body', 'mean', 'bed', 'highest', 'lowest'];

/** An x must be on the cutter block. */
export function xFault(mm: number, machine: Machine): CellFault | null {
  const { length } = machine.block;
  if (mm >= -SLACK && mm <= length + SLACK) return null;
  return {
    code: 'off-the-block',
    message: `x = ${shown(mm)} mm is not on the cutter block`,
    expected: `0 to ${shown(length)} mm`,
    hint: 'measure x from the mark at the front end of the bed, and check the unit of x',
  };
}

/** A y must be on the board. */
export function yFault(mm: number, boardLength: number | null): CellFault | null {
  const most = boardLength ?? LONGEST_BOARD;
  if (mm >= -SLACK && mm <= most + SLACK) return null;
  return {
    code: 'off-the-board',
    message: `y = ${shown(mm)} mm is not on the board`,
    expected: `0 to ${shown(most)} mm from the leading end`,
    hint: `check y and its unit${boardLength === null ? '' : ', and the length given for the board'}`,
  };
}

/** A board's length must be one. */
export function boardLengthFault(mm: number): CellFault | null {
  if (mm > 0 && mm <= LONGEST_BOARD) return null;
  return {
    code: 'no-board-length',
    message: `${shown(mm)} mm is no length of a board`,
    expected: `more than 0 and at most ${LONGEST_BOARD} mm`,
    hint: 'correct the length or leave it out',
  };
}

/** A thickness must be one that a thicknesser takes; most that are not have been read in a wrong unit. */
export function thicknessFault(mm: number): CellFault | null {
  if (mm >= THINNEST - SLACK && mm <= THICKEST + SLACK) return null;
  return {
    code: 'no-thickness',
    message: `${shown(mm)} mm is no thickness of a test board`,
    expected: `${THINNEST} to ${THICKEST} mm`,
    hint: thicknessHint(mm),
  };
}

function thicknessHint(mm: number): string {
  if (mm <= 0) return 'leave the cell empty where nothing was measured';
  const inside = (value: number) => value >= THINNEST && value <= THICKEST;
  if (inside(mm * 25.4)) {
    return 'inches read as millimetres? write the unit into the header: thickness (in)';
  }
  if (inside(mm / 25.4)) {
    return 'millimetres read as inches? write the unit into the header: thickness (mm)';
  }
  return dateHint(mm) ?? 'check for a decimal mark left out, and the unit';
}

/** What a spreadsheet counts days by. */
export function dateHint(mm: number): string | null {
  if (!Number.isInteger(mm) || mm <= 36_000 || mm >= 55_000) return null;
  return 'a spreadsheet may have turned a fraction into a date and the date into this number: format the column as text and type the value again';
}

/** A dash, `n/a` and the like where a name belongs; a word such as X or NA may well be one. */
export function namesNothing(id: string): boolean {
  return saysNotMeasured(id) && !/^\p{L}+$/u.test(id);
}

/** A board needs an id that nothing else is called by. */
export function boardFault(id: string, guarded: boolean): CellFault | null {
  const expected = 'an id of your own, such as H1';
  if (id === '' || (!guarded && namesNothing(id))) {
    return {
      code: 'board-missing',
      message: 'no board is named',
      expected,
      hint: 'give every piece of wood an id and write it in every row; merged cells leave all but one empty',
    };
  }
  if (NOBODYS_IDS.includes(id.toLowerCase())) {
    return {
      code: 'reserved-id',
      message: `no board may be called "${id}"`,
      expected,
      hint: `${NOBODYS_IDS.join(', ')} mean something else here; take another id`,
    };
  }
  return idOverLines(id);
}

/** An id stands on one line; one that does not has lost its closing quote. */
export function idOverLines(id: string): CellFault | null {
  if (!id.includes('\n')) return null;
  return {
    code: 'id-over-lines',
    message: 'an id runs over several lines',
    expected: 'an id on one line',
    hint: 'close the quote that opens here, or take the line break out of the id',
  };
}

/** The cut that a cell names, or that the knife means where it is empty. */
export function readCut(text: string, knife: string): Cut | CellFault {
  const ofKnife: Cut = knife === ALL_KNIVES ? 'full' : 'hand';
  if (text === '') return ofKnife;
  const cut = CUTS.find((known) => known === text.toLowerCase());
  if (!cut) {
    const near = closest(text.toLowerCase(), [...CUTS]);
    return {
      code: 'unknown-cut',
      message: `"${text}" is no way to cut a test board`,
      expected: 'hand, proud or full',
      hint: `nearest is ${near}; leave it empty for hand with a knife's id and full with all`,
    };
  }
  if ((cut === 'full') === (knife === ALL_KNIVES)) return cut;
  return {
    code: 'cut-against-knife',
    message: `cut ${cut} does not go with knife ${knife}`,
    expected: cut === 'full' ? `knife ${ALL_KNIVES}` : 'the id of one knife',
    hint: `a full cut sees all knives together, hand and proud cuts one of them: correct the knife or the cut`,
  };
}

/** A number for a message, without the noise of conversion. */
export function shown(mm: number): string {
  return String(Number(mm.toPrecision(7)));
}
