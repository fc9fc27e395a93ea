import { Argument, type Command } from 'commander';

const SHELLS = ['bash', 'zsh', 'fish'] as const;

export type Shell = (typeof SHELLS)[number];

const HELP = `
Prints a script that completes commands, options, their values and the files
that fit. To install it:

bash: in ~/.bashrc (bash 4 or later)
  source <(proofboard completions bash)

zsh: in ~/.zshrc, below compinit
  source <(proofboard completions zsh)
or as a file, which starts faster: in ~/.zshrc, above compinit
  fpath=(~/.zfunc $fpath)
and then
  mkdir -p ~/.zfunc
  proofboard completions zsh > ~/.zfunc/_proofboard

fish: once
  mkdir -p ~/.config/fish/completions
  proofboard completions fish > ~/.config/fish/completions/proofboard.fish

A script that was written to a file is written again after an update.`;

/** `completions`: what a shell needs to complete this program's words. */
export function addCompletions(program: Command): void {
  program
    .command('completions')
    .description('a script for bash, zsh or fish that completes what is typed')
    .addArgument(new Argument('<shell>', 'the shell that is to complete').choices(SHELLS))
    .addHelpText('after', HELP)
    .action(async (shell: Shell) => {
      const { runCompletions } = await import('./run-completions.js');
      runCompletions(program, shell);
    });
}
