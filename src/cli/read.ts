import type { Command } from 'commander';
import { toLongCsv } from '../boards/write-long.js';
import { hasErrors, type Notice } from '../notices/notice.js';
import { type Understood, understand } from '../pipeline/understand.js';
import { toJson } from '../report/json.js';
import { machineText } from '../report/text/machine-text.js';
import { EXIT } from './exit-codes.js';
import { refuseOverwrite, writeWhole } from './files.js';
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
  if (options.out !== undefined) await refuseOverwrite(options.out, options.force ?? false);
  const gathered = await gather(machine, readings);
  const understood: Understood =
    gathered.machine && !hasErrors(gathered.notices)
      ? await understand(gathered.machine, gathered.readings)
      : { machine: null, readings: [], notices: gathered.notices };
  tellEverything(understood.notices);
  const bad = hasErrors(understood.notices);
  if (options.json) process.stdout.write(jsonOf(understood, bad, understood.notices));
  if (bad || !understood.machine) return EXIT.badInput;
  const text =
    readings.length === 0
      ? machineText(understood.machine, options.unit ?? understood.machine.unit)
      : toLongCsv(understood.readings, understood.machine.unit);
  if (options.out !== undefined) {
    const written = options.json ? jsonOf(understood, bad, understood.notices) : text;
    await writeWhole(options.out, written, options.force ?? false);
  } else if (!options.json) process.stdout.write(text);
  return EXIT.done;
}

function jsonOf(understood: Understood, bad: boolean, notices: readonly Notice[]): string {
  const schema = 'proofboard/readings@1';
  return toJson(bad ? { schema, notices } : { schema, readings: understood.readings, notices });
}
