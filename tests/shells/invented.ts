import { Argument, Command, Option } from 'commander';
import { type Grammar, grammarOf } from '../../src/cli/completions/grammar.js';

/** What would have to be quoted or escaped in one shell or another. */
const ODD = 'it\'s [a] "b": $HOME `id` \\ (c) 100% #d * ; e\\n';

/** Words that no command of ours has, and descriptions that try to break out of a script. */
export function inventedGrammar(): Grammar {
  const program = new Command('proofboard').version('1', '-V, --version', ODD);
  program
    .command('weigh')
    .aliases(['poise'])
    .description(ODD)
    .argument('<machine>', 'machine file (TOML)')
    .addArgument(new Argument('[how]', ODD).choices(['quick', 'slow-1.5']))
    .option('-q, --quiet', ODD)
    .option('-k, --kilo <number>', ODD)
    .option('--state <on|off>', ODD)
    .option('--from <begun.json>', ODD)
    .option('--each <file>', `readings (CSV) ${ODD}`, gather)
    .addOption(new Option('--colour <name>', ODD).choices(['red', 'not plain', 'blue']))
    .addOption(new Option('--secret', ODD).hideHelp());
  program.command('none', { hidden: true });
  return grammarOf(program);
}

function gather(text: string, before: readonly string[] = []): string[] {
  return [...before, text];
}
