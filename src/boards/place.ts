import type { Notice } from '../notices/notice.js';
import type { Cell } from './table.js';

/** Takes in one notice; what is read and what is remarked on go separate ways. */
export type Report = (notice: Notice) => void;

const LONGEST_SHOWN = 60;

/** A notice on a cell: its place, and what stood there unless the notice says so itself. */
export function cellNotice(cell: Cell, notice: Omit<Notice, 'file' | 'line' | 'column'>): Notice {
  const { file, line, column } = cell;
  const { found = cell.text, message, ...further } = notice;
  return { ...further, message: oneLine(message), file, line, column, found: shortened(found) };
}

// A cell may hold line ends and a whole essay; a notice is one line.
function oneLine(text: string): string {
  return text.replace(/\s+/g, ' ');
}

function shortened(text: string): string {
  const line = oneLine(text);
  return line.length > LONGEST_SHOWN ? `${line.slice(0, LONGEST_SHOWN - 1)}…` : line;
}
