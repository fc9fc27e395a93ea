import type { Machine } from '../machine/machine.js';
import type { Notice } from '../notices/notice.js';
import type { Plan } from '../record/plan.js';
import { readSheet } from '../sheet/read-sheet.js';
import { spokenIn } from '../units/spoken.js';
import { blankSheet } from './sheet.js';

/**
 * An error where a plan was made for another machine than this one, or names a place or a knife that
 * this one does not have; null where it was not.
 *
 * @param file the plan's name
 */
export function anotherMachinesPlan(plan: Plan, machine: Machine, file: string): Notice | null {
  const difference = differenceOf(plan, machine);
  if (difference === null) return null;
  return {
    code: 'plan-of-another-machine',
    severity: 'error',
    message: `this plan is of another machine: ${difference}`,
    file,
    hint: 'plan anew for this machine file with proofboard plan, or name the machine file it was made for',
  };
}

/**
 * An error where a plan has places that no sheet can carry, such as a board without a name; null where
 * readings of all of them would be read.
 *
 * @param file the plan's name
 */
export function unreadablePlaces(plan: Plan, machine: Machine, file: string): Notice | null {
  if (plan.boards.length === 0) return null;
  const content = new TextEncoder().encode(blankSheet(plan, machine.unit));
  const { notices } = readSheet({ name: file, content }, machine);
  const wrong = notices.find(({ severity }) => severity === 'error');
  if (!wrong) return null;
  const { message, found, expected } = wrong;
  return {
    code: 'bad-plan',
    severity: 'error',
    message: `this plan has a place that no reading can have: ${message}`,
    file,
    ...(found === undefined ? {} : { found }),
    ...(expected === undefined ? {} : { expected }),
    hint: 'plan anew for this machine file with proofboard plan',
  };
}

function differenceOf({ machine: planned, boards }: Plan, machine: Machine): string | null {
  const { knives, length } = machine.block;
  if (planned.name !== machine.name) return `${planned.name}, not ${machine.name}`;
  if (planned.knives.join('\n') !== knives.join('\n')) {
    return `its knives are ${planned.knives.join(', ')}, not ${knives.join(', ')}`;
  }
  for (const { board, knives: cutting, x } of boards) {
    const stranger = cutting.find((id) => id !== 'all' && !knives.includes(id));
    if (stranger !== undefined) return `on board ${board} it has a knife ${stranger}`;
    const beyond = x.find((at) => at < 0 || at > length);
    if (beyond === undefined) continue;
    const { place } = spokenIn(machine.unit);
    return `on board ${board} it has x ${place(beyond)}, and the block is ${place(length)} long`;
  }
  return null;
}
