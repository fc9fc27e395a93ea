import { proofboard } from '../cli/program.js';

/** An option as the help of a command shows it. */
export interface HelpOption {
  readonly names: readonly string[];
  /** What its value has to be one of. */
  readonly choices: readonly string[];
}

/** The commands that the program's help lists. */
export function helpCommands(): string[] {
  const list = proofboard(['--help']).stdout.split('\nCommands:\n')[1]!.split('\n\n')[0]!;
  return [...list.matchAll(/^ {2}(\S+)/gm)].map((match) => match[1]!);
}

/** The options that the help of a command lists; of the program itself without one. */
export function helpOptions(command: string | null): HelpOption[] {
  const { stdout } = proofboard([...(command ? [command] : []), '--help']);
  const list = stdout.split('\nOptions:\n')[1] ?? '';
  return [...list.matchAll(/^ {2}-.*(?:\n {4,}.*)*/gm)].map(([entry]) => {
    const text = entry.replaceAll(/\s+/g, ' ').trim();
    const [, names, value] = /^((?:-\w, )?--[\w-]+)(?: <([^>]+)>)?/.exec(text)!;
    const listed = /\(choices: ([^)]*)\)/.exec(text)?.[1] ?? '';
    const choices = [...listed.matchAll(/"([^"]*)"/g)].map((match) => match[1]!);
    return {
      names: names!.split(', '),
      choices: value?.includes('|') ? value.split('|') : choices,
    };
  });
}

/** The long names of all but some options, in order of the alphabet. */
export function longNames(options: readonly HelpOption[], ...but: readonly string[]): string[] {
  return options
    .map(({ names }) => names.at(-1)!)
    .filter((name) => !but.includes(name))
    .sort();
}
