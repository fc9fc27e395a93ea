import type { Machine } from '../machine/machine.js';
import type { Notice } from '../notices/notice.js';
import { unitFactor } from '../units/length.js';
import { saysNotMeasured, unitFault, unitOf } from './cell.js';
import { LONGEST_BOARD, THICKEST, thicknessFault, xFault, yFault } from './checks.js';
import { decideDecimal, type NumberSample, sampleOf } from './dialect.js';
import { CORNER, type GridTable, sortColumns, sortRows } from './grid-table.js';
import { type Heading, type HeadingKeys, headingKeys, readHeading, valueCell } from './heading.js';
import { indexNotices } from './indexes.js';
import type { Reading } from './reading.js';
import type { FileReadings, RowKey } from './repeats.js';
import type { Cell, Row } from './table.js';
import { faultNotice, notMeasuredNotice, type Taking, takeLength, takePosition } from './take.js';

interface Station {
  readonly index: number;
  readonly x: number;
}

/** mm in one unit of plain numbers. */
interface Factors {
  readonly position: number;
  readonly thickness: number;
  /** Positions whose unit the file states. */
  readonly stated: readonly string[];
  readonly faults: readonly Notice[];
}

interface Reader extends Taking {
  readonly machine: Machine;
  readonly heading: Heading;
  readonly factors: Factors;
}

const WRONG_CORNER = {
  code: 'wrong-corner',
  message: 'x positions belong along the top of a grid, y positions down its side',
  expected: 'an empty corner or y\\x',
  hint: 'exchange rows and columns if x runs down the side; otherwise write y\\x here',
};

/**
 * Reads a grid of one board and one knife.
 * @returns readings in mm, and every fault of the file; the readings count only if none is an error
 */
export function readGridForm(grid: GridTable, machine: Machine): FileReadings {
  const top = grid.top.cells[0]!;
  const { rows, notices: outside } = sortRows(grid);
  const { stations, notices: beside } = sortColumns(grid, rows);
  const { keys, notices: inKeys } = headingKeys(grid.table, grid.top.line);
  const factors = factorsOf(keys, top, machine);
  const samples = samplesOf(keys, rows, stations, machine, factors);
  const { decimal, notices: inNumbers } = decideDecimal(samples, grid.table.separator);
  const faults: Notice[] = [...factors.faults];
  const heading = readHeading(keys, machine, { decimal, faults }, top);
  const reader: Reader = { decimal, faults, machine, heading, factors };
  const at = readStations(stations, reader);
  const perRow = rows.map((row) => ({ row, readings: readRow(row, at, reader) }));
  const readings = perRow.flatMap((each) => each.readings);
  const notices = [grid.table.notices, outside, beside, inKeys, inNumbers, faults].flat();
  return {
    readings,
    keys: perRow.flatMap((each) => rowKey(each.row, each.readings)),
    notices: [...notices, ...indexNotices(readings, factors.stated, top)],
  };
}

/** The unit of plain numbers: that of the corner for positions, `# unit`, the machine's. */
function factorsOf(keys: HeadingKeys, top: Cell, machine: Machine): Factors {
  const faults: Notice[] = [];
  const factor = (name: string | undefined, cell: Cell) => {
    if (name === undefined || name === '') return null;
    const mm = unitOf(name);
    if (mm === null) faults.push(faultNotice(cell, unitFault(name)));
    return mm;
  };
  const unit = valueCell(keys, 'unit');
  const above = factor(unit?.text, unit ?? top);
  const corner = factor(CORNER.exec(top.text)?.[1], top);
  if (/^x/i.test(top.text)) faults.push(faultNotice(top, WRONG_CORNER));
  const plain = above ?? unitFactor(machine.unit) ?? 1;
  return {
    position: corner ?? plain,
    thickness: plain,
    stated: corner !== null || above !== null ? ['x', 'y'] : [],
    faults,
  };
}

function samplesOf(
  keys: HeadingKeys,
  rows: readonly Row[],
  stations: readonly Cell[],
  machine: Machine,
  factors: Factors,
): NumberSample[] {
  const sample = (cell: Cell | null | undefined, most: number, factor: number) =>
    cell ? [sampleOf(cell, most, factor)] : [];
  const at = stations.map(({ index }) => index);
  return [
    ...stations.flatMap((cell) => sample(cell, machine.block.length, factors.position)),
    ...rows.flatMap(({ cells }) => [
      ...sample(cells[0], LONGEST_BOARD, factors.position),
      ...at.flatMap((index) => sample(cells[index], THICKEST, factors.thickness)),
    ]),
    ...sample(valueCell(keys, 'length'), LONGEST_BOARD, unitFactor(machine.unit) ?? 1),
  ];
}

function readStations(cells: readonly Cell[], reader: Reader): Station[] {
  const { machine, factors, faults } = reader;
  const stations: Station[] = [];
  for (const cell of cells) {
    const x = takePosition('x', cell, factors.position, reader, (mm) => xFault(mm, machine));
    if (x === null) continue;
    if (!stations.some((other) => other.x === x)) stations.push({ index: cell.index, x });
    else {
      faults.push(
        faultNotice(cell, {
          code: 'duplicate-header',
          message: `two columns stand at x = ${cell.text}`,
          expected: 'each x once',
          hint: 'correct one of them; second readings go into a row of their own with the same y',
        }),
      );
    }
  }
  return stations;
}

function readRow(row: Row, stations: readonly Station[], reader: Reader): Reading[] {
  const { heading, factors, faults } = reader;
  const head = row.cells[0]!;
  const check = (mm: number) => yFault(mm, heading.length);
  const y = takePosition('y', head, factors.position, reader, check);
  return stations.flatMap(({ index, x }) => {
    const cell = row.cells[index] ?? null;
    if (cell && saysNotMeasured(cell.text)) faults.push(notMeasuredNotice(cell));
    const thickness = takeLength(cell, factors.thickness, reader, thicknessFault);
    if (y === null || thickness === null) return [];
    return { file: head.file, line: row.line, ...heading, x, y, thickness, ...UNSAID };
  });
}

/** What a grid has no place for. */
const UNSAID = { scoop: null, repeat: null, by: null, scale: null, note: null };

function rowKey(row: Row, readings: readonly Reading[]): RowKey[] {
  const [first] = readings;
  if (!first) return [];
  const key = JSON.stringify(readings.map((reading) => ({ ...reading, file: '', line: 0 })));
  return [{ key, file: first.file, line: row.line }];
}
