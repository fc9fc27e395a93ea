import { plainDecimal } from '../units/plain-decimal.js';
import { csvField } from './csv-field.js';
import { indexNotices } from './indexes.js';
import type { Reading } from './reading.js';

type Field = Exclude<keyof Reading, 'file' | 'line'>;

const ALWAYS: readonly Field[] = ['board', 'knife', 'x', 'y', 'thickness', 'cut'];
const WHERE_GIVEN: readonly Field[] = [
  'setting',
  'run',
  'scoop',
  'length',
  'repeat',
  'by',
  'scale',
  'note',
];
const LENGTHS: readonly Field[] = ['x', 'y', 'thickness', 'length', 'scale'];

/**
 * Readings as CSV in long form, lengths in mm, one row a reading.
 * @param machineUnit the unit in which plain numbers are read back; the headers state mm where that is
 * another, or where x could be taken for the numbers of places
 * @returns text that reads back to the same readings but for file and line
 */
export function toLongCsv(readings: readonly Reading[], machineUnit: 'mm' | 'in' = 'mm'): string {
  const given = WHERE_GIVEN.filter((name) => readings.some((reading) => reading[name] !== null));
  const fields = [...ALWAYS, ...given];
  const nowhere = { text: '', guarded: false, index: 0, file: '', line: 1, column: 1 };
  const stateUnit = machineUnit !== 'mm' || indexNotices(readings, [], nowhere).length > 0;
  const header = fields.map((name) =>
    stateUnit && LENGTHS.includes(name) ? `${name} (mm)` : name,
  );
  const rows = readings.map((reading) => fields.map((name) => field(reading[name])));
  return [header, ...rows].map((cells) => `${cells.join(',')}\n`).join('');
}

function field(value: string | number | null): string {
  if (value === null) return '';
  return typeof value === 'number' ? plainDecimal(value) : csvField(value);
}
