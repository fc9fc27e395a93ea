import type { Command } from 'commander';
import { hasErrors, type Notice } from '../notices/notice.js';
import { type Analysed, analyse, answersEverything } from '../pipeline/analyse.js';
import type { Result } from '../record/result.js';
import { toJson } from '../report/json.js';
import { resultText } from '../report/text/result-text.js';
import { EXIT } from './exit-codes.js';
import { overwriteNotices, writeWhole } from './files.js';
import { type Gathered, gather } from './gather.js';
import { type FitOptions, withFit, withOutput } from './options.js';
import { paintForOutput, tellNotices } from './tell.js';

const HELP = `
Examples:
  $ proofboard analyse fixtures/demo/machine.toml fixtures/demo/two-strips.csv
  $ proofboard analyse fixtures/demo/machine.toml fixtures/demo/boards.csv --out first.json
  $ proofboard analyse fixtures/demo/machine.toml fixtures/demo/boards.csv --gauge fixtures/demo/gauge.csv --marks fixtures/demo/marks.csv
  $ proofboard analyse fixtures/demo/machine.toml - --json < fixtures/demo/boards.csv

Exit code: 0 every knife end and the bed tilt are known; 2 bad input;
3 something is not known, the boards and their description disagree, or an
instrument contradicts the boards.`;

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
  const { out, force = false, json } = options;
  const gathered = await gather(machine, readings, options);
  const notices = [...gathered.notices, ...(await overwriteNotices(out, force))];
  const { machine: file } = gathered;
  const made = new Date();
  const analysedIn = async (unit?: 'mm' | 'in'): Promise<Analysed> =>
    file && !hasErrors(notices)
      ? finish(await analyse(file, gathered.readings, fitOptions(options, gathered, made, unit)))
      : { machine: null, result: null, notices };
  const analysed = await analysedIn();
  // Documents speak in the machine's unit whoever reads; people may choose another.
  const isOther = options.unit !== undefined && options.unit !== analysed.machine?.unit;
  const people = isOther && !json ? await analysedIn(options.unit) : analysed;
  tellNotices(people.notices);
  const { result } = analysed;
  if (!result || !people.result || !people.machine) return refuse(analysed.notices, options);
  const failed = out === undefined ? [] : await writeWhole(out, toJson(result), force);
  tellNotices(failed);
  if (failed.length > 0) return refuse([...analysed.notices, ...failed], options);
  const unit = options.unit ?? people.machine.unit;
  process.stdout.write(
    json ? toJson(result) : resultText(people.result, people.machine, unit, paintForOutput()),
  );
  if (out !== undefined) process.stderr.write(`written: ${out}\n`);
  return exitOf(result);
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

/** With `--json` the document still comes, with its notices and without a result. */
export function refuse(notices: readonly Notice[], { json }: FitOptions): number {
  if (json) process.stdout.write(toJson({ schema: 'proofboard/result@1', notices }));
  return EXIT.badInput;
}
