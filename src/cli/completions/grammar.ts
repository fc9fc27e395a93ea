import type { Argument, Command, Option } from 'commander';
import { type Takes, takesOf } from './takes.js';

/** What can be typed behind the program's name, as its own help has it. */
export interface Grammar {
  /** The options of the program itself. */
  readonly options: readonly OptionWords[];
  readonly commands: readonly CommandWords[];
}

export interface CommandWords {
  readonly name: string;
  readonly aliases: readonly string[];
  readonly description: string;
  readonly options: readonly OptionWords[];
  readonly places: readonly PlaceWords[];
}

export interface OptionWords {
  /** Every way to write it, the short one first: `-h`, `--help`. */
  readonly names: readonly string[];
  readonly description: string;
  /** Its value; `null` of an option without one. */
  readonly value: PlaceWords | null;
  readonly mayRepeat: boolean;
}

/** An argument, or the value of an option. */
export interface PlaceWords {
  readonly name: string;
  readonly takes: Takes;
  /** Whether all words that follow are of the same kind. */
  readonly isVariadic: boolean;
}

/** Reads the words of a program out of the program. */
export function grammarOf(program: Command): Grammar {
  const help = program.createHelp();
  const optionsOf = (command: Command) => help.visibleOptions(command).map(optionWords);
  const commands = help.visibleCommands(program).map((command) => ({
    name: command.name(),
    aliases: command.aliases(),
    description: command.description(),
    options: optionsOf(command),
    places: command.registeredArguments.map(argumentWords),
  }));
  return { options: optionsOf(program), commands };
}

function argumentWords(argument: Argument): PlaceWords {
  const { description, argChoices, variadic: isVariadic } = argument;
  const name = argument.name();
  return { name, takes: takesOf(name, description, argChoices, false), isVariadic };
}

function optionWords(option: Option): OptionWords {
  const { short, long, description } = option;
  return {
    names: [short, long].filter((name) => name !== undefined),
    description,
    value: valueWords(option),
    mayRepeat: option.variadic || gathers(option),
  };
}

function valueWords(option: Option): PlaceWords | null {
  const name = /[<[](.+?)(?:\.{3})?[>\]]/.exec(option.flags)?.[1];
  if (name === undefined) return null;
  const { description, argChoices, variadic: isVariadic } = option;
  const isWritten = option.name() === 'out';
  return { name, takes: takesOf(name, description, argChoices, isWritten), isVariadic };
}

/** Whether an option that is given again keeps what it was given before: it is tried. */
function gathers({ parseArg }: Option): boolean {
  const before = {};
  try {
    const both: unknown = parseArg?.('file:1', [before]);
    return Array.isArray(both) && both.includes(before);
  } catch {
    return false;
  }
}
