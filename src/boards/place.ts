import type { Notice } from '../notices/notice.js';
import type { Cell } from './table.js';

/** Takes in one notice; what is read and what is remarked on go separate ways. */
export type Report = (notice: Notice) => void;

/** A notice on a cell: its place, and what stood there unless the notice says so itself. */
export function cellNotice(cell: Cell, notice: Omit<Notice, 'file' | 'line' | 'column'>): Notice {
  const { file, line, column } = cell;
  return { file, line, column, found: cell.text, ...notice };
}
