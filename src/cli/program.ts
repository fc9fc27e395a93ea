import { Command, CommanderError } from 'commander';
import type { AnswerOption } from '../pipeline/init-options.js';
import { addAnalyse } from './analyse.js';
import { addCompletions } from './completions.js';
import { addConfirm } from './confirm.js';
import { addEnter } from './enter.js';
import { EXIT } from './exit-codes.js';
import { addInit } from './init.js';
import { addMarks } from './marks.js';
import { addPlan } from './plan.js';
import { addRead } from './read.js';
import { addSheet } from './sheet.js';

const ABOUT =
  'Reads thicknesses measured on test boards, and says how far each knife of a planer or ' +
  'thicknesser stands out or short, how the bed lies, what to turn, and after a rerun whether ' +
  'all is inside tolerance. It says how sure it is, and what the boards cannot tell.';

/** Help stays within 80 columns; a command's arguments stand in its own help. */
const NARROW = { helpWidth: 80, subcommandTerm: (command: Command) => command.name() };

const HELP = `
Examples:
  $ proofboard read fixtures/demo/machine.toml
  $ proofboard plan fixtures/demo/machine.toml
  $ proofboard sheet fixtures/demo/machine.toml --out boards.html
  $ proofboard analyse fixtures/demo/machine.toml fixtures/demo/boards.csv
  $ proofboard confirm fixtures/demo/machine.toml fixtures/demo/rerun.csv
  $ proofboard marks fixtures/demo/machine.toml

The machine's manual, local rules and a competent person go before this tool.
Isolate the machine and lock it off before you touch the block.`;

/** What the program is and where it lies. */
export interface Home {
  readonly version: string;
  /** The folder of the built program, in which its other parts are. */
  readonly folder: URL;
}

/**
 * Runs the program.
 *
 * @param args what stands behind the program's name
 */
export async function run(args: readonly string[], home: Home): Promise<void> {
  process.on('SIGINT', () => process.exit(EXIT.interrupted));
  // A reader that has seen enough (`| head`) is no fault.
  process.stdout.on('error', (error: NodeJS.ErrnoException) => {
    if (error.code === 'EPIPE') process.exit();
    throw error;
  });
  try {
    await program(home, await answersFor(args)).parseAsync([...args], { from: 'user' });
  } catch (error) {
    process.exitCode = exitCodeOf(error);
  }
  leave();
}

/** The many options of `init`, loaded only for those who may see them. */
async function answersFor(args: readonly string[]): Promise<readonly AnswerOption[]> {
  if (!args.some((word) => word === 'init' || word === 'completions')) return [];
  return (await import('../pipeline/init-options.js')).ANSWER_OPTIONS;
}

/** Ends as soon as all is written: the engine would first finish compiling what is needed no more. */
function leave(): void {
  process.stdout.write('', () => process.stderr.write('', () => process.exit()));
}

function program({ version, folder }: Home, answers: readonly AnswerOption[]): Command {
  const command = new Command('proofboard')
    .description(ABOUT)
    .version(version, '-V, --version', 'print the version')
    .helpOption('-h, --help', 'show this help')
    .addHelpText('after', HELP)
    .configureHelp(NARROW)
    .showHelpAfterError('(run with --help to see how it is used)')
    .exitOverride();
  addInit(command, answers);
  addRead(command);
  addAnalyse(command);
  addConfirm(command);
  addMarks(command);
  addPlan(command);
  addSheet(command, folder);
  addEnter(command);
  addCompletions(command);
  for (const each of command.commands)
    each.exitOverride().configureHelp(NARROW).helpOption('-h, --help', 'show this help');
  return command;
}

function exitCodeOf(error: unknown): number {
  if (error instanceof CommanderError) return error.exitCode === 0 ? EXIT.done : EXIT.badInput;
  const text = error instanceof Error ? error.message : String(error);
  process.stderr.write(
    `proofboard: a fault of the program, not of your files: ${text}\n` +
      'Nothing was written. Please report it with the files that led to it.\n',
  );
  return EXIT.fault;
}
