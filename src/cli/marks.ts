import type { Command } from 'commander';
import type { MarksAsked } from '../pipeline/marks-asked.js';
import { type OutputOptions, withOutput } from './options.js';

const HELP = `
Examples:
  $ proofboard marks fixtures/demo/machine.toml
  $ proofboard marks fixtures/demo/machine.toml --result first.json --all-show
  $ proofboard marks fixtures/demo/machine.toml --pitch "1 mm" --ridge "8 um"
  $ proofboard marks fixtures/demo/machine.toml --feed "6 m/min" --json
  $ proofboard marks fixtures/demo/machine.toml fixtures/demo/marks.csv

Without ridges it foretells what the feed will leave: of knives that are all
equal, or of the knives as --result says they stand. With ridges it says which
knives left marks, and how high they stand against each other. Lengths and
speeds are written as in the machine file.

Exit code: 0 done; 2 bad input; 3 whose a mark is, or whether a knife leaves
one, is not known.`;

export type MarksCommandOptions = OutputOptions & MarksAsked & { readonly result?: string };

/** `marks`: knife marks, their pitch and height, and which knives finish. */
export function addMarks(program: Command): void {
  const command = program
    .command('marks')
    .description('knife marks: pitch, height, which knives finish')
    .argument('<machine>', 'machine file (TOML)')
    .argument('[marks...]', 'ridges read along boards (CSV), or - for standard input')
    .option('--result <result.json>', 'an earlier result: how high the knives stand')
    .option('--pitch <length>', 'the feed at which the marks are so long')
    .option('--ridge <length>', 'the feed at which the ridges are so high')
    .option('--all-show', 'the feed at which all knives leave marks')
    .option('--feed <speed>', "a feed speed in place of the machine file's")
    .addHelpText('after', HELP);
  withOutput(command, 'what was found (JSON)').action(
    async (machine: string, files: readonly string[], options: MarksCommandOptions) => {
      // Loaded only here: other commands start without it.
      const { runMarks } = await import('./run-marks.js');
      process.exitCode = await runMarks(machine, files, options);
    },
  );
}
