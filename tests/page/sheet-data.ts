import type { SheetData } from '../../src/report/html/sheet-data.js';
import { placesOf } from '../../src/sheet/places.js';
import { benchMachine } from '../machines.js';

/** A sheet of three strips cut by hand in two rounds, and a planed board. */
export function sheetData(overrides: Partial<SheetData> = {}): SheetData {
  const strip = { cut: 'hand', knives: ['1', '2', '3', '4'], y: [40, 160], spacing: 30 } as const;
  const strips = [40, 260, 480].map((x, i) => ({
    ...strip,
    board: `H${i + 1}`,
    x: [x],
    width: 30,
    length: 300,
  }));
  const planed = {
    board: 'F1',
    cut: 'full',
    knives: ['all'],
    x: [40, 260, 480],
    y: [150],
    spacing: null,
    width: null,
    length: null,
  } as const;
  return {
    machine: benchMachine(),
    noise: { kind: 'known', sd: 0.01 },
    places: placesOf([...strips, planed]),
    unit: 'mm',
    key: 'a sheet',
    saveAs: 'readings.csv',
    command: 'proofboard analyse machine.toml readings.csv',
    ...overrides,
  };
}
