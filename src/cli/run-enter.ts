import { hasErrors, type Notice } from '../notices/notice.js';
import { startEntering } from '../pipeline/enter.js';
import { readPlan } from '../pipeline/read-plan.js';
import type { Plan } from '../record/plan.js';
import type { EnterText } from '../report/text/enter-text.js';
import type { EnterCommandOptions } from './enter.js';
import { claim } from './enter-claim.js';
import { converse } from './enter-converse.js';
import { EnterFile } from './enter-file.js';
import { EXIT } from './exit-codes.js';
import { isSource, readSource } from './files.js';
import { gather } from './gather.js';
import { planFor } from './run-plan.js';
import { paintForOutput, tellNotices } from './tell.js';

/** Asks for the readings of a sheet, place by place, and keeps them in a file. */
export async function runEnter(machine: string, options: EnterCommandOptions): Promise<number> {
  const wrong = optionNotices(machine, options);
  if (wrong.length > 0) return refuse(wrong);
  const file = await EnterFile.find(options.out);
  if (!(file instanceof EnterFile)) return refuse([file]);
  const held = await claim(file.path);
  if (!held.isHeld && held.inUse) return refuse([{ ...held.inUse, file: options.out }]);
  try {
    return await enterInto(file, machine, options, held.isHeld);
  } finally {
    if (held.isHeld) await held.release();
  }
}

async function enterInto(
  file: EnterFile,
  machine: string,
  options: EnterCommandOptions,
  isHeld: boolean,
): Promise<number> {
  const { unit, force = false } = options;
  const existing = force ? null : file.content;
  const gathered = await gather(machine, []);
  const planned = await planOf(machine, options, existing !== null);
  const early = [...gathered.notices, ...planned.notices];
  if (!gathered.machine || hasErrors(early)) return refuse(early);
  const { entering, notices } = await startEntering(gathered.machine, {
    existing,
    name: file.name,
    plan: planned.plan,
    ...(unit === undefined ? {} : { unit }),
  });
  tellNotices(notices);
  if (!entering) return EXIT.badInput;
  // A file that cannot be written is found out before anything is measured.
  const failed = existing && isHeld ? [] : await file.save(entering.sheet.text);
  if (failed.length > 0) return refuse(failed);
  return converse(file, entering, textFor(machine, options, entering.unit));
}

function refuse(notices: readonly Notice[]): number {
  tellNotices(notices);
  return EXIT.badInput;
}

/** What the options ask for that cannot be. */
function optionNotices(machine: string, options: EnterCommandOptions): Notice[] {
  const { out, plan, result } = options;
  const notices: Notice[] = [];
  if ([machine, out, plan, result].includes('-')) {
    notices.push({
      code: 'standard-input-taken',
      severity: 'error',
      message: 'the readings are typed on standard input: nothing else can be read from it',
      found: '-',
      expected: 'the name of a file',
      hint: 'name files for the machine, the plan and --out',
    });
  }
  if (plan !== undefined && asksForPlan(options)) {
    notices.push({
      code: 'plan-twice',
      severity: 'error',
      message: '--plan names a plan, and the other options ask for another',
      expected: '--plan alone, or --stations, --repeats, --cuts, --result',
      hint: 'leave one of them out',
    });
  }
  return notices;
}

function asksForPlan({ stations, repeats, cuts, result }: EnterCommandOptions): boolean {
  return [stations, repeats, cuts, result].some((each) => each !== undefined);
}

/** The plan that is asked for; none where a file that is there says itself what to measure. */
async function planOf(
  machine: string,
  options: EnterCommandOptions,
  isThere: boolean,
): Promise<{ readonly plan: Plan | null; readonly notices: readonly Notice[] }> {
  if (options.plan !== undefined) {
    const source = await readSource(options.plan);
    return isSource(source) ? readPlan(source) : { plan: null, notices: [source] };
  }
  if (isThere && !asksForPlan(options)) return { plan: null, notices: [] };
  const { plan, notices } = await planFor(machine, options);
  // What a plan leaves open, and what is odd about the machine, is told elsewhere.
  return { plan, notices: notices.filter(({ severity }) => severity === 'error') };
}

function textFor(
  machine: string,
  { out, unit: asked }: EnterCommandOptions,
  unit: 'mm' | 'in',
): EnterText {
  const [machineWord, outWord] = [machine, out].map(shellWord);
  const inUnit = asked === undefined ? '' : ` --unit ${asked}`;
  return {
    unit,
    file: out,
    goOn: `proofboard enter ${machineWord} --out ${outWord}${inUnit}`,
    analyse: `proofboard analyse ${machineWord} ${outWord}`,
    plan: `proofboard plan ${machineWord}`,
    paint: paintForOutput(),
  };
}

/** A name as a shell takes it for one word. */
function shellWord(name: string): string {
  return /^[\w./+:@%-]+$/.test(name) ? name : `'${name.replaceAll("'", "'\\''")}'`;
}
