import type { Machine } from '../machine/machine.js';
import type { Notice } from '../notices/notice.js';
import { unitFactor } from '../units/length.js';
import { splitUnit, unitOf } from './cell.js';
import { boardFault, boardLengthFault, readCut } from './checks.js';
import { type FileKey, fileKeys, KEYS, type Key, misspeltKey } from './keys.js';
import { knifeFault, knifeId } from './knife-ids.js';
import { cellNotice } from './place.js';
import type { Reading } from './reading.js';
import type { Cell, Table } from './table.js';
import { faultNotice, readRun, type Taking, takeLength } from './take.js';

/** What the lines above a grid say of every reading in it. */
export type Heading = Pick<Reading, 'board' | 'knife' | 'cut' | 'setting' | 'run' | 'length'>;

export type HeadingKeys = ReadonlyMap<Key, FileKey>;

const SEVERAL = new RegExp(`(?:^|[\\s,;])(?:${KEYS.join('|')})\\s*[:=]`, 'i');

/**
 * Collects the key lines above a grid.
 * @param topLine the line of the row of x positions
 * @returns each key once, with an error for a key given twice, below the grid, misspelt, or not alone
 */
export function headingKeys(
  table: Table,
  topLine: number,
): { readonly keys: HeadingKeys; readonly notices: readonly Notice[] } {
  const keys = new Map<Key, FileKey>();
  const notices: Notice[] = [];
  for (const found of fileKeys(table)) {
    const fault = keyFault(found, keys, topLine);
    if (fault) notices.push(fault);
    else keys.set(found.key, found);
  }
  for (const comment of table.comments) {
    const meant = misspeltKey(comment);
    if (meant === null) continue;
    notices.push(
      faultNotice(comment.cell, {
        code: 'misspelt-key',
        message: 'a key above the grid is misspelt',
        expected: `# ${meant}: ...`,
        hint: `write ${meant}, or leave out the colon to make it a comment`,
      }),
    );
  }
  return { keys, notices };
}

function keyFault(found: FileKey, keys: HeadingKeys, topLine: number): Notice | null {
  const { key, value, cell } = found;
  const before = keys.get(key);
  const fault = (code: string, message: string, hint: string) =>
    faultNotice(cell, { code, message, expected: 'one board and one knife a file', hint });
  if (cell.line > topLine) {
    return fault(
      'key-below-grid',
      `# ${key} stands below the grid, where it counts for nothing`,
      'put every grid into a file of its own, with its lines above it',
    );
  }
  if (SEVERAL.test(value)) {
    return fault('keys-on-one-line', 'two keys stand on one line', 'give each key its own line');
  }
  if (before && before.value !== value) {
    return fault(
      'key-twice',
      `# ${key} is given twice, as "${before.value}" and as "${value}"`,
      'keep the right one; put every grid into a file of its own',
    );
  }
  return null;
}

/** Reads the values of the keys; faults go to `taking`. Absent board or knife is an error at `top`. */
export function readHeading(
  keys: HeadingKeys,
  machine: Machine,
  taking: Taking,
  top: Cell,
): Heading {
  const [board, knifeKey] = [keys.get('board'), keys.get('knife')];
  const knife = knifeId(knifeKey?.value ?? '');
  if (!board) taking.faults.push(keyMissing('board', 'A', top));
  else report(board, boardFault(board.value, board.guarded), taking);
  const wrongKnife = knifeFault(knife, machine);
  if (!knifeKey) taking.faults.push(keyMissing('knife', machine.block.knives[0] ?? '1', top));
  else report(knifeKey, wrongKnife, taking);
  const cutKey = keys.get('cut');
  const cut = readCut(cutKey?.value ?? '', knife);
  if (cutKey && typeof cut !== 'string' && (!wrongKnife || cut.code === 'unknown-cut')) {
    report(cutKey, cut, taking);
  }
  const [run, length] = [valueCell(keys, 'run'), valueCell(keys, 'length')];
  warnOfLengthUnit(keys, length, machine, taking);
  return {
    board: board?.value ?? '',
    knife,
    cut: typeof cut === 'string' ? cut : 'hand',
    setting: keys.get('setting')?.value || null,
    run: readRun(run, taking),
    length: takeLength(length, unitFactor(machine.unit) ?? 1, taking, boardLengthFault),
  };
}

/** The unit above a grid is for x, y and thickness; whoever writes both lines may think otherwise. */
function warnOfLengthUnit(
  keys: HeadingKeys,
  length: Cell | null,
  machine: Machine,
  taking: Taking,
): void {
  const factor = unitOf(keys.get('unit')?.value ?? '');
  if (!length || factor === null || splitUnit(length.text).unit !== null) return;
  if (factor === unitFactor(machine.unit)) return;
  taking.faults.push(
    cellNotice(length, {
      code: 'length-unit',
      severity: 'warning',
      message: `the board's length is read in ${machine.unit}: the unit above is for x, y and thickness`,
      expected: 'a length with its own unit',
      hint: `write # length: ${length.text} ${machine.unit}, or the unit it is in`,
    }),
  );
}

function report(
  key: FileKey,
  fault: Parameters<typeof faultNotice>[1] | null,
  taking: Taking,
): void {
  if (fault) taking.faults.push(faultNotice({ ...key.cell, text: key.value }, fault));
}

/** A key's value as a cell at the key's place. */
export function valueCell(keys: HeadingKeys, key: Key): Cell | null {
  const found = keys.get(key);
  return found ? { ...found.cell, text: found.value } : null;
}

function keyMissing(key: Key, example: string, top: Cell): Notice {
  return cellNotice(top, {
    code: `${key}-missing`,
    severity: 'error',
    message: `nothing says which ${key} this grid belongs to`,
    found: '',
    expected: `a line "# ${key}: ${example}" above the grid`,
    hint: `add that line with the id of your ${key}`,
  });
}
