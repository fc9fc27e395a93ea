import { type Command, InvalidArgumentError, Option } from 'commander';
import type { Cut } from '../boards/reading.js';
import { type OutputOptions, withOutput } from './options.js';

const HELP = `
Examples:
  $ proofboard plan fixtures/demo/machine.toml
  $ proofboard plan fixtures/demo/machine.toml --stations 5 --repeats 4
  $ proofboard plan fixtures/demo/machine.toml --cuts full
  $ proofboard plan fixtures/demo/machine.toml --result first.json
  $ proofboard plan fixtures/demo/machine.toml --explain --out plan.json

What a plan will tell is worked out from the places alone, before any board is
cut. With --result it says what is best measured next.

Exit code: 0 these boards will tell everything; 2 bad input; 3 something will
stay undetermined, and the output says what and why.`;

/** What decides which boards are planned. */
export interface DesignOptions {
  readonly stations?: number;
  readonly repeats?: number;
  readonly cuts?: readonly Cut[];
  readonly result?: string;
}

export interface PlanCommandOptions extends OutputOptions, DesignOptions {
  readonly explain?: boolean;
}

/** `plan`: which boards to cut, where to measure, what that will tell. */
export function addPlan(program: Command): void {
  const command = program
    .command('plan')
    .description('which boards to cut, where to measure, what that will tell')
    .argument('<machine>', 'machine file (TOML)')
    .option('--explain', 'say what each place contributes')
    .addHelpText('after', HELP);
  withOutput(withDesign(command), 'the plan (JSON)').action(
    async (machine: string, options: PlanCommandOptions) => {
      const { runPlan } = await import('./before-the-cut.js');
      process.exitCode = await runPlan(machine, options);
    },
  );
}

/** Adds `--stations`, `--repeats`, `--cuts` and `--result`. */
function withDesign(command: Command): Command {
  return command
    .option('--stations <number>', 'how many places across, in place of the best number', whole)
    .option('--repeats <number>', 'how many times round, in place of the best number', whole)
    .option('--cuts <ways>', 'ways of cutting that may be used: hand, proud, full', ways)
    .option('--result <result.json>', 'an earlier result: what to measure next');
}

/** A plan from a file, or what decides one that is made now. */
export interface ChosenPlanOptions extends DesignOptions {
  readonly plan?: string;
}

/** Adds `--plan`, and for those who have none the options of `plan`. */
export function withChosenPlan(command: Command): Command {
  const given = new Option('--plan <plan.json>', 'a plan that plan wrote with --out');
  return withDesign(command.addOption(given.conflicts(['stations', 'repeats', 'cuts', 'result'])));
}

function whole(text: string): number {
  if (!/^\d+$/.test(text.trim()))
    throw new InvalidArgumentError('Expected a whole number, such as 5.');
  return Number(text);
}

/** Which ways there are is for the plan to say. */
function ways(text: string): Cut[] {
  return text
    .split(',')
    .map((way) => way.trim())
    .filter((way) => way !== '') as Cut[];
}
