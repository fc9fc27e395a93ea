import { hasErrors, type Notice } from '../notices/notice.js';
import type { Planned } from '../pipeline/plan.js';
import { anotherMachinesPlan, unreadablePlaces } from '../pipeline/plan-of-machine.js';
import { readPlan } from '../pipeline/read-plan.js';
import { understand } from '../pipeline/understand.js';
import { isSource, readSource } from './files.js';
import { gather } from './gather.js';
import type { ChosenPlanOptions } from './plan.js';
import { planFor } from './run-plan.js';

/**
 * The plan that options choose: from a file, or made now.
 *
 * @param early what stands against it before anything is read
 */
export async function chosenPlan(
  machine: string,
  options: ChosenPlanOptions,
  early: readonly Notice[],
  unit: 'mm' | 'in' | undefined,
): Promise<Planned> {
  if (options.plan !== undefined) return planOfFile(machine, options.plan, early);
  return planFor(machine, options, early, { unit });
}

async function planOfFile(
  machineName: string,
  planName: string,
  early: readonly Notice[],
): Promise<Planned> {
  const gathered = await gather(machineName, []);
  const source = await readSource(planName);
  const read = isSource(source) ? readPlan(source) : { plan: null, notices: [source] };
  const understood = gathered.machine
    ? await understand(gathered.machine, [])
    : { machine: null, notices: [] };
  const notices = [...early, ...gathered.notices, ...understood.notices, ...read.notices];
  const { machine } = understood;
  const strange =
    machine && read.plan
      ? (anotherMachinesPlan(read.plan, machine, planName) ??
        unreadablePlaces(read.plan, machine, planName))
      : null;
  const all = strange ? [...notices, strange] : notices;
  return { machine, plan: hasErrors(all) ? null : read.plan, notices: all };
}
