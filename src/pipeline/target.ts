import type { Target } from '../decide/moves.js';
import type { Machine } from '../machine/machine.js';
import type { Notice } from '../notices/notice.js';

const LINES = ['mean', 'bed', 'highest', 'lowest'] as const;

/** The line that a name means; an error notice and the mean where it means none. */
export function targetOf(machine: Machine, name: string): { target: Target; notices: Notice[] } {
  const line = LINES.find((known) => known === name);
  if (line) return { target: { name: line }, notices: [] };
  const knife = machine.block.knives.indexOf(name);
  if (knife >= 0) return { target: { name: 'knife', knife }, notices: [] };
  const notice: Notice = {
    code: 'unknown-target',
    severity: 'error',
    message: `--target ${name}: there is no such line and no such knife`,
    found: name,
    expected: [...LINES, ...machine.block.knives].join(', '),
    hint: 'choose one of these',
  };
  return { target: { name: 'mean' }, notices: [notice] };
}
