import { hasErrors, type Notice } from '../notices/notice.js';
import { startEntering } from '../pipeline/enter.js';
import type { Plan } from '../record/plan.js';
import type { EnterText } from '../report/text/enter-text.js';
import { chosenPlan } from './chosen-plan.js';
import type { EnterCommandOptions } from './enter.js';
import { claim } from './enter-claim.js';
import { converse } from './enter-converse.js';
import { EnterFile } from './enter-file.js';
import { EXIT } from './exit-codes.js';
import { gather } from './gather.js';
import { shellWord } from './shell-word.js';
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
  return notices;
}

/** The plan that is asked for; none where a file that is there says itself what to measure. */
async function planOf(
  machine: string,
  options: EnterCommandOptions,
  isThere: boolean,
): Promise<{ readonly plan: Plan | null; readonly notices: readonly Notice[] }> {
  const { plan: file, stations, repeats, cuts, result } = options;
  const isAsked = [file, stations, repeats, cuts, result].some((each) => each !== undefined);
  if (isThere && !isAsked) return { plan: null, notices: [] };
  const { plan, notices } = await chosenPlan(machine, options, [], options.unit);
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
