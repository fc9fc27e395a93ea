import type { Notice } from '../notices/notice.js';
import { type DecimalMark, readNumber } from '../units/number.js';
import { type CellFault, readLength, saysNotMeasured } from './cell.js';
import { cellNotice } from './place.js';
import type { Cell } from './table.js';

/** What reading the cells of a file needs: its decimal mark, and where its faults go. */
export interface Taking {
  readonly decimal: DecimalMark;
  readonly faults: Notice[];
}

/**
 * Takes a length out of a cell.
 * @param factor mm in one unit, for a value without its own
 * @param check refuses a length that cannot stand there; mm
 * @returns mm; null where nothing stands there, and where something wrong does, which is reported
 */
export function takeLength(
  cell: Cell | null,
  factor: number,
  taking: Taking,
  check: (mm: number) => CellFault | null = () => null,
): number | null {
  const reading = readLength(cell?.text ?? '', taking.decimal, factor);
  if (!cell || reading.kind === 'blank' || reading.kind === 'not-measured') return null;
  const fault = reading.kind === 'fault' ? reading.fault : check(reading.mm);
  if (fault) {
    taking.faults.push(faultNotice(cell, fault));
    return null;
  }
  return reading.kind === 'length' ? reading.mm : null;
}

/**
 * Takes a position, which must be there.
 */
export function takePosition(
  name: 'x' | 'y',
  cell: Cell,
  factor: number,
  taking: Taking,
  check: (mm: number) => CellFault | null,
): number | null {
  const before = taking.faults.length;
  const mm = takeLength(cell, factor, taking, check);
  if (mm === null && taking.faults.length === before) {
    taking.faults.push(
      faultNotice(cell, {
        code: 'position-missing',
        message: `no ${name} is given`,
        expected: `${name} as a length`,
        hint: `measure ${name} and write it here`,
      }),
    );
  }
  const fault = taking.faults[before];
  if (fault?.code === 'not-a-number' && !/\d/.test(cell.text)) {
    taking.faults[before] = faultNotice(cell, namedPosition(name));
  }
  return mm;
}

function namedPosition(name: 'x' | 'y'): CellFault {
  const from =
    name === 'x' ? 'the mark at the front end of the bed' : 'the leading end of the board';
  return {
    code: 'position-not-a-length',
    message: `${name} is a length, never a name or the number of a place`,
    expected: `${name} as a length from ${from}`,
    hint: `measure from ${from} to this place and write that`,
  };
}

/**
 * Takes an id, which is text to the letter.
 * @param check refuses what cannot be one
 * @param spell the id that a text means
 * @returns null where something wrong stands there, which is reported
 */
export function takeId(
  cell: Cell,
  { faults }: Taking,
  check: (id: string) => CellFault | null,
  spell: (text: string) => string = (text) => text,
): string | null {
  const id = spell(cell.text);
  const fault = check(id);
  if (fault) faults.push(faultNotice(cell, fault));
  return fault ? null : id;
}

/** Runs of test boards are counted from 1; null where the cell is empty. */
export function readRun(cell: Cell | null, taking: Taking): number | null {
  if (!cell || cell.text === '' || saysNotMeasured(cell.text)) return null;
  const run = readNumber(cell.text, taking.decimal);
  if (run.ok && Number.isSafeInteger(run.value) && run.value >= 1) return run.value;
  taking.faults.push(
    faultNotice(cell, {
      code: 'no-run-number',
      message: 'this is not the number of a run',
      expected: '1, 2, 3 ...',
      hint: 'count the runs of test boards from 1',
    }),
  );
  return null;
}

/** What a dash, `n/a` and the like are remarked on with. */
export function notMeasuredNotice(cell: Cell): Notice {
  return cellNotice(cell, {
    code: 'not-measured',
    severity: 'info',
    message: 'a place not measured',
  });
}

/** A fault as an error on its cell. */
export function faultNotice(cell: Cell, fault: CellFault): Notice {
  return cellNotice(cell, { severity: 'error', ...fault });
}
