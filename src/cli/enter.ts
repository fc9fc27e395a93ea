import { type Command, Option } from 'commander';
import { type ChosenPlanOptions, withChosenPlan } from './plan.js';

const HELP = `
Examples:
  $ proofboard enter fixtures/demo/machine.toml --out readings.csv
  $ proofboard enter fixtures/demo/machine.toml --out readings.csv --plan plan.json
  $ proofboard enter fixtures/demo/machine.toml --out small.csv --stations 4 --repeats 2

Asks for the thicknesses place by place in the order of the plan. Every reading
is on disk before the next is asked for. A file that is there already, also one
that sheet wrote or a spreadsheet saved, is gone on with at its first blank
place; it needs no plan. Calipers that type their reading and Enter do.

Exit code: 0 every place has its reading; 2 bad input; 3 places are left blank;
130 interrupted.`;

export interface EnterCommandOptions extends ChosenPlanOptions {
  readonly out: string;
  readonly force?: boolean;
  readonly unit?: 'mm' | 'in';
}

/** `enter`: key readings in, place by place. */
export function addEnter(program: Command): void {
  const command = program
    .command('enter')
    .description('key readings in, place by place')
    .argument('<machine>', 'machine file (TOML)')
    .option('--out <file>', 'the file (CSV) to enter into, new or begun', 'readings.csv')
    .option('--force', 'begin anew where the file is there already')
    .addOption(new Option('--unit <unit>', 'unit of what is typed').choices(['mm', 'in']))
    .addHelpText('after', HELP);
  withChosenPlan(command).action(async (machine: string, options: EnterCommandOptions) => {
    const { runEnter } = await import('./before-the-cut.js');
    process.exitCode = await runEnter(machine, options);
  });
}
