import type { CommandWords, Grammar, OptionWords, PlaceWords } from './grammar.js';
import type { Takes } from './takes.js';

/** The script that completes the program's words in fish. */
export function fishScript({ options, commands }: Grammar): string {
  const valued = [{ name: "''", options }, ...commands].filter((command) =>
    command.options.some(({ value }) => value),
  );
  const aliased = commands.filter(({ aliases }) => aliases.length > 0);
  return `# Completions of proofboard for fish, made by: proofboard completions fish

# Prints the options of a command that take the next word.
function __proofboard_valued
    switch "$argv[1]"
${valued.map(valuedCase).join('')}    end
end

# Prints a command's own name.
function __proofboard_name
    switch "$argv[1]"
${aliased.map(aliasCase).join('')}        case '*'
            echo $argv[1]
    end
end
${ENGINE}
${options.map((option) => optionLine('', option)).join('')}
${commands.map(nameLines).join('')}
${commands.map(commandLines).join('\n')}`;
}

function valuedCase({ name, options }: Pick<CommandWords, 'name' | 'options'>): string {
  const names = options.flatMap((option) => (option.value ? option.names : []));
  return `        case ${name}\n            printf '%s\\n' ${names.join(' ')}\n`;
}

function aliasCase({ name, aliases }: CommandWords): string {
  return `        case ${aliases.join(' ')}\n            echo ${name}\n`;
}

function nameLines({ name, aliases, description }: CommandWords): string {
  const about = `-d ${quoted(description)}`;
  return [
    line(`__proofboard_at '' 0`, `-a ${name} ${about}`),
    ...aliases.map((alias) => line(`__proofboard_alias ${alias} ${name}`, `-a ${alias} ${about}`)),
  ].join('');
}

function commandLines({ name, options, places }: CommandWords): string {
  return [
    ...options.map((option) => optionLine(name, option)),
    ...places.map((place, index) => placeLine(name, place, index)),
  ].join('');
}

function optionLine(command: string, option: OptionWords): string {
  const { names, description, value, mayRepeat } = option;
  const written = names.map((name) =>
    name.startsWith('--') ? `-l ${name.slice(2)}` : `-s ${name.slice(1)}`,
  );
  const once = mayRepeat ? [] : names;
  return line(
    ['__proofboard_may', command === '' ? "''" : command, ...once].join(' '),
    [...written, `-d ${quoted(description)}`, ...(value ? [taking(value.takes)] : [])].join(' '),
  );
}

function placeLine(command: string, { takes, isVariadic }: PlaceWords, index: number): string {
  const condition = `__proofboard_at ${command} ${index}${isVariadic ? ' more' : ''}`;
  return takes.kind === 'text' ? '' : line(condition, taking(takes));
}

/** A value has to follow, and no other files than those said. */
function taking(takes: Takes): string {
  if (takes.kind === 'text') return '-x';
  if (takes.kind === 'words') return `-x -a ${quoted(takes.words.join(' '))}`;
  if (takes.kind === 'command') return `-x -a '(complete -C "proofboard "(commandline -ct))'`;
  if (takes.endings.length === 0) return '-r -F';
  const offer = takes.kind === 'place' ? '__proofboard_places' : '__proofboard_files';
  return `-x -a '(${offer} ${takes.endings.join(' ')})'`;
}

function line(condition: string, what: string): string {
  return `complete -c proofboard -n ${quoted(condition)} ${what}\n`;
}

function quoted(text: string): string {
  return `'${text.replaceAll(/['\\]/g, '\\$&')}'`;
}

/** Reads what stands before the cursor. */
const ENGINE = `
# Prints what stands before the cursor, a line each: the command, how many
# arguments it has, the option whose value comes next, and all options given.
function __proofboard_line
    set -l command ''
    set -l places 0
    set -l awaited ''
    set -l ended ''
    set -l given
    set -l words (commandline -opc)
    set -e words[1]
    for word in $words
        if test -n "$awaited"
            set awaited ''
        else if test -z "$ended"; and test "$word" = --
            set ended yes
        else if test -z "$ended"; and string match -qr -- '^-.' $word
            set -a given (string replace -r '=.*' '' -- $word)
            if contains -- $word (__proofboard_valued "$command")
                set awaited $word
            end
        else if test -z "$command"
            set command (__proofboard_name $word)
        else
            set places (math $places + 1)
        end
    end
    printf '%s\\n' "$command" $places "$awaited" $given
end

# Whether the cursor is at an argument of a command, or (more) beyond it.
function __proofboard_at
    set -l line (__proofboard_line)
    test "$line[1]" = "$argv[1]"; or return
    test $line[2] -eq $argv[2]; and return
    test -n "$argv[3]"; and test $line[2] -gt $argv[2]
end

# Whether a command may be given an option, or is just being given its value.
function __proofboard_may
    set -l line (__proofboard_line)
    test "$line[1]" = "$argv[1]"; or return
    set -l awaited $line[3]
    set -e line[1..3] argv[1]
    for name in $argv
        contains -- $name $line; and test "$name" != "$awaited"; and return 1
    end
    return 0
end

# An alias is offered where it fits and the command's own name does not.
function __proofboard_alias
    __proofboard_at '' 0; or return
    set -l typed (commandline -ct)
    set -l length (string length -- "$typed")
    test (string sub -l $length -- $argv[1]) = "$typed"
    and test (string sub -l $length -- $argv[2]) != "$typed"
end

# Prints folders, and files with one of the endings given.
function __proofboard_files
    set -l typed (commandline -ct | string replace -r '^--[^=]*=' '')
    set -l endings (string join '|' -- $argv)
    complete -C "'' $typed" | string match -ri -- "^(?:.*/|.*\\\\.(?:$endings))(?:\\t.*)?\\$"
end

# The same, with the colon before the number of a line.
function __proofboard_places
    __proofboard_files $argv | string replace -r '^([^\\t]*[^/\\t])(\\t.*)?$' '$1:$2'
end

# What an earlier script told, and files where none are wanted, are not offered.
complete -c proofboard -e
complete -c proofboard -f
`;
