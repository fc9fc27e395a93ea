import type { Command } from 'commander';
import { type OutputOptions, withOutput } from './options.js';
import { type ChosenPlanOptions, withChosenPlan } from './plan.js';

const HELP = `
Examples:
  $ proofboard sheet fixtures/demo/machine.toml
  $ proofboard sheet fixtures/demo/machine.toml --out readings.csv
  $ proofboard sheet fixtures/demo/machine.toml --cuts hand --out readings.html

A .csv is filled in with a spreadsheet. A .html is one page that needs nothing
else: print it (A4 or Letter), or open it on a phone or tablet at the machine
and type into it; it questions a reading that disagrees with the others, keeps
what was typed, and saves the CSV for analyse. Without --out the CSV is printed.

Exit code: 0 done; 2 bad input.`;

export type SheetCommandOptions = OutputOptions & ChosenPlanOptions;

/**
 * `sheet`: a blank measurement sheet.
 *
 * @param folder of the built program, in which the page's program lies beside it
 */
export function addSheet(program: Command, folder: URL): void {
  const command = program
    .command('sheet')
    .description('a blank measurement sheet, to print, fill in or type into')
    .argument('<machine>', 'machine file (TOML)')
    .addHelpText('after', HELP);
  withOutput(withChosenPlan(command), 'the sheet (.csv or .html)').action(
    async (machine: string, options: SheetCommandOptions) => {
      const { runSheet } = await import('./before-the-cut.js');
      process.exitCode = await runSheet(machine, options, folder);
    },
  );
}
