import type { Command } from 'commander';
import { bashScript } from './completions/bash.js';
import { fishScript } from './completions/fish.js';
import { type Grammar, grammarOf } from './completions/grammar.js';
import { zshScript } from './completions/zsh.js';
import type { Shell } from './completions.js';

const SCRIPTS: Readonly<Record<Shell, (grammar: Grammar) => string>> = {
  bash: bashScript,
  zsh: zshScript,
  fish: fishScript,
};

/** Prints the script that completes the program's words in a shell. */
export function runCompletions(program: Command, shell: Shell): void {
  process.stdout.write(SCRIPTS[shell](grammarOf(program)));
}
