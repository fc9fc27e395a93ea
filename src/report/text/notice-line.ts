import type { Notice } from '../../notices/notice.js';

/** A notice as one line: `a.csv:17:5: error: what is wrong (found …, expected …); what to do`. */
export function noticeLine(notice: Notice): string {
  const { file, line, column, severity, message, found, expected, hint } = notice;
  const place = file === undefined ? '' : `${[file, line, column].filter(isGiven).join(':')}: `;
  const detail = [
    found === undefined ? '' : `found ${found}`,
    expected === undefined ? '' : `expected ${expected}`,
  ].filter((text) => text !== '');
  const brackets = detail.length === 0 ? '' : ` (${detail.join(', ')})`;
  const what = hint === undefined ? '' : `; ${hint}`;
  // One line a notice, whatever stood in the file.
  return `${place}${severity}: ${message}${brackets}${what}`.replace(/[\r\n]+/g, ' ');
}

function isGiven(part: string | number | undefined): part is string | number {
  return part !== undefined;
}
