import type { Command } from 'commander';
import { hasErrors, type Notice } from '../notices/notice.js';
import { readResult } from '../pipeline/read-result.js';
import { sinceMoves } from '../pipeline/since.js';
import type { Result } from '../record/result.js';
import { toJson } from '../report/json.js';
import { runFit, withoutResult } from './analyse.js';
import { EXIT } from './exit-codes.js';
import { isSource, readSource } from './files.js';
import { type FitOptions, withFit, withOutput } from './options.js';
import { tellNotices } from './tell.js';

const HELP = `
Examples:
  $ proofboard confirm fixtures/demo/machine.toml fixtures/demo/rerun.csv
  $ proofboard confirm fixtures/demo/machine.toml fixtures/demo/rerun.csv --against first.json

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
  const source = await readSource(options.against);
  const earlier = isSource(source) ? readResult(source) : { result: null, notices: [source] };
  if (!earlier.result) return refuse(earlier.notices, options.json ?? false);
  const before = earlier.result;
  return runFit(machine, readings, options, confirmExit, (analysed) => {
    if (!analysed.result || !analysed.machine) return analysed;
    const { since, notices } = sinceMoves(before, analysed.result, options.against!);
    const all = [...analysed.notices, ...notices];
    if (hasErrors(notices)) return { ...analysed, result: null, notices: all };
    return { ...analysed, result: { ...analysed.result, since, notices: all }, notices: all };
  });
}

function refuse(notices: readonly Notice[], json: boolean): number {
  tellNotices(notices);
  if (json) process.stdout.write(toJson(withoutResult(notices)));
  return EXIT.badInput;
}

function confirmExit(result: Result): number {
  const { together } = result.verdicts;
  if (together === 'inside') return EXIT.done;
  return together === 'outside' ? EXIT.outside : EXIT.undecided;
}
