import type { Command } from 'commander';
import { hasErrors } from '../notices/notice.js';
import { type Analysed, analyse, answersEverything } from '../pipeline/analyse.js';
import type { Result } from '../record/result.js';
import { resultText } from '../report/text/result-text.js';
import { deliver, type Made } from './deliver.js';
import { EXIT } from './exit-codes.js';
import { overwriteNotices } from './files.js';
import { type Gathered, gather } from './gather.js';
import { type FitOptions, withFit, withOutput } from './options.js';
import { paintForOutput } from './tell.js';

const HELP = `
Examples:
  $ proofboard analyse fixtures/demo/machine.toml fixtures/demo/two-strips.csv
  $ proofboard analyse fixtures/demo/machine.toml fixtures/demo/boards.csv --out first.json
  $ proofboard analyse fixtures/demo/machine.toml fixtures/demo/boards.csv --gauge fixtures/demo/gauge.csv --marks fixtures/demo/marks.csv
  $ proofboard analyse fixtures/demo/machine.toml - --json < fixtures/demo/boards.csv

Exit code: 0 every knife end and the bed tilt are known; 2 bad input;
3 something is not known, the boards and their description disagree, or an
instrument contradicts the boards.`;

/** Of what `analyse` and `confirm` write. */
export const RESULT_SCHEMA = 'proofboard/result@1';

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
  const gathered = await gather(machine, readings, options);
  const notices = [
    ...gathered.notices,
    ...(await overwriteNotices(options.out, options.force ?? false)),
  ];
  const { machine: file } = gathered;
  const made = new Date();
  const analysedIn = async (unit?: 'mm' | 'in'): Promise<Made<Result>> => {
    if (!file || hasErrors(notices)) return { machine: null, document: null, notices };
    const fit = fitOptions(options, gathered, made, unit);
    const { result, ...analysed } = finish(await analyse(file, gathered.readings, fit));
    return { ...analysed, document: result };
  };
  const result = await deliver(RESULT_SCHEMA, options, analysedIn, (document, described, unit) =>
    resultText(document, described, unit, paintForOutput()),
  );
  return result ? exitOf(result) : EXIT.badInput;
}

function fitOptions(
  { target }: FitOptions,
  { exclude, use, gauge, carry, marks }: Gathered,
  date: Date,
  unit: 'mm' | 'in' | undefined,
) {
  return {
    date,
    exclude,
    use,
    gauge,
    carry,
    marks,
    ...(target === undefined ? {} : { target }),
    ...(unit === undefined ? {} : { unit }),
  };
}
