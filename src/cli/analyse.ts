import type { Command } from 'commander';
import { hasErrors, type Notice } from '../notices/notice.js';
import { type Analysed, analyse, answersEverything } from '../pipeline/analyse.js';
import type { Result } from '../record/result.js';
import { toJson } from '../report/json.js';
import { resultText } from '../report/text/result-text.js';
import { EXIT } from './exit-codes.js';
import { refuseOverwrite, writeWhole } from './files.js';
import { gather } from './gather.js';
import { type FitOptions, withFit, withOutput } from './options.js';
import { paintForOutput, tellNotices } from './tell.js';

const HELP = `
Examples:
  $ proofboard analyse fixtures/demo/machine.toml fixtures/demo/two-strips.csv
  $ proofboard analyse fixtures/demo/machine.toml fixtures/demo/boards.csv --out first.json
  $ proofboard analyse fixtures/demo/machine.toml - --json < fixtures/demo/boards.csv

Exit code: 0 every knife end and the bed tilt are known; 2 bad input;
3 something is not known, or the boards and their description disagree.`;

/** `analyse`: knives, bed, what to turn. */
export function addAnalyse(program: Command): void {
  const command = program
    .command('analyse')
    .alias('analyze')
    .description('knives, bed, what to turn')
    .argument('<machine>', 'machine file (TOML)')
    .argument('<readings...>', 'readings (CSV), or - for standard input')
    .addHelpText('after', HELP);
  withFit(withOutput(command, 'the result (JSON)')).action(
    async (machine: string, readings: readonly string[], options: FitOptions) => {
      process.exitCode = await runFit(machine, readings, options, analyseExit);
    },
  );
}

function analyseExit(result: Result): number {
  return answersEverything(result) ? EXIT.done : EXIT.undecided;
}

/** Reads, fits, tells and writes: what `analyse` and `confirm` share. */
export async function runFit(
  machine: string,
  readings: readonly string[],
  options: FitOptions,
  exitOf: (result: Result) => number,
  finish: (analysed: Analysed) => Analysed = (analysed) => analysed,
): Promise<number> {
  if (options.out !== undefined) await refuseOverwrite(options.out, options.force ?? false);
  const gathered = await gather(machine, readings);
  const { machine: file, notices } = gathered;
  const analysed =
    file && !hasErrors(notices)
      ? finish(await analyse(file, gathered.readings, options))
      : { machine: null, result: null, notices };
  tellNotices(analysed.notices);
  const { result } = analysed;
  if (!result || !analysed.machine) {
    if (options.json) process.stdout.write(toJson(withoutResult(analysed.notices)));
    return EXIT.badInput;
  }
  if (options.out !== undefined)
    await writeWhole(options.out, toJson(result), options.force ?? false);
  const unit = options.unit ?? analysed.machine.unit;
  process.stdout.write(
    options.json ? toJson(result) : resultText(result, analysed.machine, unit, paintForOutput()),
  );
  return exitOf(result);
}

/** What `--json` prints where the input has errors. */
export function withoutResult(notices: readonly Notice[]) {
  return { schema: 'proofboard/result@1', notices };
}
