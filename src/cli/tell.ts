import type { Notice } from '../notices/notice.js';
import { COLOURS, NO_PAINT, type Paint } from '../report/paint.js';
import { noticeLine } from '../report/text/notice-line.js';

/** Errors and warnings as lines on standard error; what is only worth a remark stays in the result. */
export function tellNotices(notices: readonly Notice[]): void {
  for (const notice of notices) {
    if (notice.severity !== 'info') process.stderr.write(`${noticeLine(notice)}\n`);
  }
}

/** Remarks too, for commands whose output has no place for them. */
export function tellEverything(notices: readonly Notice[]): void {
  for (const notice of notices) process.stderr.write(`${noticeLine(notice)}\n`);
}

/** Colours where standard output is a terminal that wants them. */
export function paintForOutput(): Paint {
  const { NO_COLOR, TERM } = process.env;
  const wanted = process.stdout.isTTY && !NO_COLOR && TERM !== 'dumb';
  return wanted ? COLOURS : NO_PAINT;
}
