import { hasErrors, type Notice } from '../notices/notice.js';
import { type Planned, planBoards, plansEverything } from '../pipeline/plan.js';
import type { Plan } from '../record/plan.js';
import { planText } from '../report/text/plan-text.js';
import { deliver, type Made } from './deliver.js';
import { EXIT } from './exit-codes.js';
import { overwriteNotices } from './files.js';
import { gather } from './gather.js';
import type { DesignOptions, PlanCommandOptions } from './plan.js';
import { readEarlier } from './read-earlier.js';
import { shellWord } from './shell-word.js';
import { paintForOutput } from './tell.js';

const SCHEMA = 'proofboard/plan@1';

/** Reads, plans, tells and writes what `plan` is asked for. */
export async function runPlan(machine: string, options: PlanCommandOptions): Promise<number> {
  const { out, force = false, explain = false } = options;
  const refused = await overwriteNotices(out, force);
  const plannedIn = async (unit?: 'mm' | 'in'): Promise<Made<Plan>> => {
    const { plan, ...planned } = await planFor(machine, options, refused, { explain, unit });
    return { ...planned, document: plan };
  };
  const machineFile = shellWord(machine);
  const plan = await deliver(SCHEMA, options, plannedIn, (document, described, unit) =>
    planText(document, described, { unit, machineFile }, paintForOutput()),
  );
  if (!plan) return EXIT.badInput;
  return plansEverything(plan) ? EXIT.done : EXIT.undecided;
}

/**
 * Plans for a machine file as options ask.
 *
 * @param early what stands against it before anything is read
 */
export async function planFor(
  machine: string,
  { stations, repeats, cuts, result: name }: DesignOptions,
  early: readonly Notice[] = [],
  { explain = false, unit }: { explain?: boolean; unit?: 'mm' | 'in' | undefined } = {},
): Promise<Planned> {
  const gathered = await gather(machine, []);
  const earlier = await readEarlier(name);
  const notices = [...early, ...gathered.notices, ...earlier.notices];
  if (!gathered.machine || hasErrors(notices)) return { machine: null, plan: null, notices };
  return planBoards(gathered.machine, {
    explain,
    ...(stations === undefined ? {} : { stations }),
    ...(repeats === undefined ? {} : { repeats }),
    ...(cuts === undefined ? {} : { cuts }),
    ...(earlier.result ? { result: earlier.result } : {}),
    ...(unit === undefined ? {} : { unit }),
  });
}
