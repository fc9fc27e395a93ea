import type { Command } from 'commander';
import type { AnswerOption } from '../pipeline/init-options.js';

const HELP = `
In a terminal, proofboard init asks for what options do not answer, one question
at a time, and writes nothing before you have seen the file and said yes. With
--yes, or without a terminal, nothing is asked:

  proofboard init --yes --out machine.toml --name "Bench thicknesser" \\
    --knives 4 --cutting-diameter 120 --block-length 520 --at 40,480 \\
    --thread M6 --raised-by anticlockwise --finest-turn 1/16

Answers are written as in the machine file: a number alone is in --unit, and
"3 3/4 in" has its own. - leaves a key out. Without a terminal and without --out
the file is printed.

Examples:
  $ proofboard init --from fixtures/demo/machine.toml --feed-speed "6 m/min"
  $ proofboard init --from fixtures/demo/machine.toml --reach 40 --json

Exit code: 0 done; 2 bad input, or something is missing; 130 interrupted, or not
written because you said so.`;

export interface InitOptions {
  readonly from?: string;
  readonly out?: string;
  readonly force?: boolean;
  readonly yes?: boolean;
  readonly json?: boolean;
  /** The answers, by the names of their options. */
  readonly [answer: string]: string | boolean | undefined;
}

/**
 * `init`: asks about a machine and writes its file.
 *
 * @param answers its options, one a key of the machine file
 */
export function addInit(program: Command, answers: readonly AnswerOption[]): void {
  const command = program
    .command('init')
    .description('ask about a machine, write its file')
    .option('--from <file>', 'correct this machine file; comments and order stay')
    .option('--out <file>', 'write to this file, - for standard output (default: machine.toml)')
    .option('--force', 'overwrite a file that is there')
    .option('-y, --yes', 'ask nothing')
    .option('--json', 'print one JSON document on standard output and nothing else there')
    .addHelpText('after', HELP);
  for (const { flags, about, section } of answers) {
    command.addOption(command.createOption(flags, about).helpGroup(`${section}:`));
  }
  command.action(async (options: InitOptions) => {
    const { runInit } = await import('./before-the-cut.js');
    process.exitCode = await runInit(options);
  });
}
