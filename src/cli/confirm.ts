import type { Command } from 'commander';
import { hasErrors } from '../notices/notice.js';
import type { Analysed } from '../pipeline/analyse.js';
import { NO_MOVES } from '../pipeline/choose-moves.js';
import { sinceMoves } from '../pipeline/since.js';
import type { Result } from '../record/result.js';
import { RESULT_SCHEMA, runFit } from './analyse.js';
import { refuse } from './deliver.js';
import { EXIT } from './exit-codes.js';
import { type FitOptions, withFit, withOutput } from './options.js';
import { readEarlier } from './read-earlier.js';
import { tellNotices } from './tell.js';

const HELP = `
Examples:
  $ proofboard confirm fixtures/demo/machine.toml fixtures/demo/rerun.csv
  $ proofboard confirm fixtures/demo/machine.toml fixtures/demo/rerun.csv --against first.json
  $ proofboard confirm fixtures/demo/machine.toml fixtures/demo/rerun.csv --marks fixtures/demo/rerun-marks.csv

Exit code: 0 inside tolerance; 1 outside; 2 bad input; 3 undecided.`;

/** `confirm`: is it inside tolerance now. */
export function addConfirm(program: Command): void {
  const command = program
    .command('confirm')
    .description('is it inside tolerance now')
    .argument('<machine>', 'machine file (TOML)')
    .argument('<readings...>', 'readings of the rerun (CSV), or - for standard input')
    .option('--against <result.json>', 'the earlier result: tells what each of its moves did')
    .addHelpText('after', HELP);
  withFit(withOutput(command, 'the result (JSON)')).action(
    async (
      machine: string,
      readings: readonly string[],
      options: FitOptions & { readonly against?: string },
    ) => {
      process.exitCode = await confirm(machine, readings, options);
    },
  );
}

async function confirm(
  machine: string,
  readings: readonly string[],
  options: FitOptions & { readonly against?: string },
): Promise<number> {
  if (options.against === undefined) return runFit(machine, readings, options, confirmExit);
  const earlier = await readEarlier(options.against);
  if (!earlier.result) {
    tellNotices(earlier.notices);
    refuse(RESULT_SCHEMA, earlier.notices, options.json);
    return EXIT.badInput;
  }
  const { name, result: before } = earlier.result;
  return runFit(machine, readings, options, confirmExit, (analysed) => {
    if (!analysed.result || !analysed.machine) return analysed;
    return withSince(analysed, analysed.result, before, name);
  });
}

function withSince(analysed: Analysed, result: Result, before: Result, file: string): Analysed {
  const { since, notices, withhold } = sinceMoves(before, result, file);
  const all = [...analysed.notices, ...notices];
  if (hasErrors(notices)) return { ...analysed, result: null, notices: all };
  const moves = withhold ? NO_MOVES : result;
  const { moves: proposed, expected } = moves;
  return {
    ...analysed,
    result: { ...result, moves: proposed, expected, since, notices: all },
    notices: all,
  };
}

function confirmExit(result: Result): number {
  const { together } = result.verdicts;
  if (together === 'inside') return EXIT.done;
  return together === 'outside' ? EXIT.outside : EXIT.undecided;
}
