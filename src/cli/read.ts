import type { Command } from 'commander';
import { hasErrors, type Notice } from '../notices/notice.js';
import { readingsAsCsv, type Understood, understand } from '../pipeline/understand.js';
import { toJson } from '../report/json.js';
import { machineText } from '../report/text/machine-text.js';
import { EXIT } from './exit-codes.js';
import { overwriteNotices, writeWhole } from './files.js';
import { gather } from './gather.js';
import { type OutputOptions, withOutput } from './options.js';
import { tellEverything } from './tell.js';

const HELP = `
Examples:
  $ proofboard read fixtures/demo/machine.toml
  $ proofboard read fixtures/demo/machine.toml fixtures/demo/boards.csv
  $ proofboard read fixtures/demo/machine.toml fixtures/demo/boards.csv --json

Without readings the machine file alone is checked and shown.`;

/** `read`: what was understood. */
export function addRead(program: Command): void {
  const command = program
    .command('read')
    .description('what was understood: the readings in long form, in mm')
    .argument('<machine>', 'machine file (TOML)')
    .argument('[readings...]', 'readings (CSV), or - for standard input')
    .addHelpText('after', HELP);
  withOutput(command, 'what is printed').action(
    async (machine: string, readings: readonly string[], options: OutputOptions) => {
      process.exitCode = await read(machine, readings, options);
    },
  );
}

async function read(
  machine: string,
  readings: readonly string[],
  options: OutputOptions,
): Promise<number> {
  const { out, force = false, json = false } = options;
  const gathered = await gather(machine, readings);
  const early = [...gathered.notices, ...(await overwriteNotices(out, force))];
  const understood: Understood =
    gathered.machine && !hasErrors(early)
      ? await understand(gathered.machine, gathered.readings)
      : { machine: null, readings: [], notices: early };
  const failed = await writeOut(understood, readings.length > 0, options);
  const notices = [...understood.notices, ...failed];
  tellEverything(notices);
  const bad = hasErrors(notices);
  if (json) process.stdout.write(jsonOf({ ...understood, notices }));
  else if (!bad && out === undefined) {
    process.stdout.write(textOf(understood, readings.length > 0, options));
  }
  return bad ? EXIT.badInput : EXIT.done;
}

async function writeOut(
  understood: Understood,
  hasReadings: boolean,
  options: OutputOptions,
): Promise<readonly Notice[]> {
  const { out, force = false, json } = options;
  if (out === undefined || hasErrors(understood.notices)) return [];
  const text = json ? jsonOf(understood) : textOf(understood, hasReadings, options);
  return writeWhole(out, text, force);
}

function textOf(understood: Understood, hasReadings: boolean, { unit }: OutputOptions): string {
  if (hasReadings) return readingsAsCsv(understood);
  const machine = understood.machine!;
  return machineText(machine, understood.feedPerKnife ?? null, unit ?? machine.unit);
}

function jsonOf({ readings, notices }: Understood): string {
  const schema = 'proofboard/readings@1';
  return toJson(hasErrors(notices) ? { schema, notices } : { schema, readings, notices });
}
