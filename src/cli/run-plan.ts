import { hasErrors, type Notice } from '../notices/notice.js';
import { type Planned, planBoards, plansEverything } from '../pipeline/plan.js';
import { toJson } from '../report/json.js';
import { planText } from '../report/text/plan-text.js';
import { EXIT } from './exit-codes.js';
import { overwriteNotices, writeWhole } from './files.js';
import { gather } from './gather.js';
import type { OutputOptions } from './options.js';
import type { DesignOptions, PlanCommandOptions } from './plan.js';
import { readEarlier } from './read-earlier.js';
import { shellWord } from './shell-word.js';
import { paintForOutput, tellNotices } from './tell.js';

/** Reads, plans, tells and writes what `plan` is asked for. */
export async function runPlan(machine: string, options: PlanCommandOptions): Promise<number> {
  const { out, force = false, json, explain = false } = options;
  const refused = await overwriteNotices(out, force);
  const plannedIn = (unit?: 'mm' | 'in') => planFor(machine, options, refused, { explain, unit });
  const planned = await plannedIn();
  // Documents speak in the machine's unit whoever reads; people may choose another.
  const isOther = options.unit !== undefined && options.unit !== planned.machine?.unit;
  const people = isOther && !json ? await plannedIn(options.unit) : planned;
  tellNotices(people.notices);
  if (!planned.plan || !people.plan || !people.machine) return refuse(planned.notices, options);
  const failed = out === undefined ? [] : await writeWhole(out, toJson(planned.plan), force);
  tellNotices(failed);
  if (failed.length > 0) return refuse([...planned.notices, ...failed], options);
  const unit = options.unit ?? people.machine.unit;
  process.stdout.write(
    json
      ? toJson(planned.plan)
      : planText(
          people.plan,
          people.machine,
          { unit, machineFile: shellWord(machine) },
          paintForOutput(),
        ),
  );
  if (out !== undefined) process.stderr.write(`written: ${out}\n`);
  return plansEverything(planned.plan) ? EXIT.done : EXIT.undecided;
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

/** With `--json` the document still comes, with its notices and nothing else. */
function refuse(notices: readonly Notice[], { json }: OutputOptions): number {
  if (json) process.stdout.write(toJson({ schema: 'proofboard/plan@1', notices }));
  return EXIT.badInput;
}
