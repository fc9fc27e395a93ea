import { type Command, Option } from 'commander';
import { hasErrors, type Notice } from '../notices/notice.js';
import type { Planned } from '../pipeline/plan.js';
import { anotherMachinesPlan } from '../pipeline/plan-of-machine.js';
import { readPlan } from '../pipeline/read-plan.js';
import { understand } from '../pipeline/understand.js';
import { isSource, readSource } from './files.js';
import { gather } from './gather.js';
import { type DesignOptions, withDesign } from './plan.js';

/** A plan from a file, or what decides one that is made now. */
export interface ChosenPlanOptions extends DesignOptions {
  readonly plan?: string;
}

/** Adds `--plan`, and for those who have none the options of `plan`. */
export function withChosenPlan(command: Command): Command {
  const given = new Option('--plan <plan.json>', 'a plan that plan wrote with --out');
  return withDesign(command.addOption(given.conflicts(['stations', 'repeats', 'cuts', 'result'])));
}

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
  // A plan that stands in a file needs nothing of what makes one.
  const { planFor } = await import('./run-plan.js');
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
  const strange = machine && read.plan ? anotherMachinesPlan(read.plan, machine, planName) : null;
  const all = strange ? [...notices, strange] : notices;
  return { machine, plan: hasErrors(all) ? null : read.plan, notices: all };
}
