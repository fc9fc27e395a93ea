import type { ColumnNames } from './columns.js';

/** A kind of CSV file with one measurement a row. */
export interface TableKind extends ColumnNames {
  /** The column of what was measured: a row without it is a place not measured. */
  readonly measured: string;
  /** What one row is, and what they are together. */
  readonly row: string;
  readonly rows: string;
  /** Where such a file belongs. */
  readonly belongs: string;
  /** Whether a place is read more than once as a rule, and often with the same outcome. */
  readonly repeats: boolean;
  /** What to do about a row that stands there twice. */
  readonly twice: string;
}

const TOLD_BY_REPEAT =
  'take one away if it was pasted twice; a second reading is told apart by the repeat column';

/** One thickness a row. */
export const LONG_FORM: TableKind = {
  required: ['board', 'knife', 'x', 'y', 'thickness'],
  optional: ['cut', 'setting', 'run', 'scoop', 'length', 'repeat', 'by', 'scale', 'unit', 'note'],
  lengths: ['x', 'y', 'thickness', 'length', 'scale'],
  remarks: ['by', 'note'],
  measured: 'thickness',
  row: 'reading',
  rows: 'thickness readings',
  belongs: 'give it as one of the READINGS',
  repeats: false,
  twice: TOLD_BY_REPEAT,
};

/** What a dial indicator said of one place on an edge, a row. */
export const GAUGE: TableKind = {
  required: ['knife', 'x', 'reading'],
  optional: ['zero', 'repeat', 'by', 'unit', 'note'],
  lengths: ['x', 'reading'],
  remarks: ['by', 'note'],
  measured: 'reading',
  row: 'reading',
  rows: 'gauge readings',
  belongs: 'give it to analyse after --gauge',
  repeats: true,
  twice: TOLD_BY_REPEAT,
};

/** How far one edge carried a rule, a row. */
export const CARRY: TableKind = {
  required: ['knife', 'x', 'carry'],
  optional: ['repeat', 'by', 'unit', 'note'],
  lengths: ['x', 'carry'],
  remarks: ['by', 'note'],
  measured: 'carry',
  row: 'carry',
  rows: 'carries of a rule',
  belongs: 'give it to analyse after --carry',
  repeats: true,
  twice: TOLD_BY_REPEAT,
};

/** One ridge between two knife marks a row. */
export const MARKS: TableKind = {
  required: ['board', 'x', 'y'],
  optional: ['knife', 'by', 'unit', 'note'],
  lengths: ['x', 'y'],
  remarks: ['by', 'note'],
  measured: 'y',
  row: 'ridge',
  rows: 'knife marks',
  belongs: 'give it to analyse after --marks',
  repeats: false,
  twice: 'take one away if it was pasted twice: each ridge is one row',
};

/** All of them; the names of the last are also in the first. */
export const KINDS: readonly TableKind[] = [LONG_FORM, GAUGE, CARRY, MARKS];
