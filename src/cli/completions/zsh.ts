import type { CommandWords, Grammar, OptionWords, PlaceWords } from './grammar.js';
import type { Takes } from './takes.js';

/** The script that completes the program's words in zsh: sourced, or a file of its own. */
export function zshScript({ options, commands }: Grammar): string {
  const names = commands.map(({ name, description }) => described(name, description));
  const aliases = commands.flatMap((command) =>
    command.aliases.map((alias) => described(alias, command.description)),
  );
  return `#compdef proofboard
# Completions of proofboard for zsh, made by: proofboard completions zsh

_proofboard() {
  local curcontext=$curcontext state
  local -a line
  local -A opt_args
  _arguments -S -C${options.map(optionSpec).join('')}${spec('1: :->command')}${spec('*:: :->rest')}
  case $state in
    command) _proofboard_commands ;;
    rest)
      curcontext=\${curcontext%:*}-$words[1]:
      case $words[1] in
${commands.map(commandCase).join('')}      esac
      ;;
  esac
}

# An alias is offered where no command's own name fits.
_proofboard_commands() {
  local -a names=(
${names.join('')}  )
  local -a aliases=(
${aliases.join('')}  )
  _describe -t commands command names || _describe -t commands command aliases
}
${FILES}`;
}

/** Offers files, and tells the shell of the function above, however the script came in. */
const FILES = `
# Offers folders, and files with one of the endings given; -S says what follows a file.
_proofboard_files() {
  local -a after
  zparseopts -D S:=after
  local pattern="*.(#i)(\${(j:|:)@})(-.)"
  _alternative \\
    'files:file:_path_files "$after[@]" -g "$pattern"' \\
    'folders:folder:_path_files -/'
}

if [[ $funcstack[1] == _proofboard ]]; then
  _proofboard "$@"
elif (( $+functions[compdef] )); then
  compdef _proofboard proofboard
else
  print -u2 'proofboard: no completions, since compinit has not been run before'
fi
`;

function described(name: string, description: string): string {
  return `    ${quoted(`${name}:${description}`)}\n`;
}

function commandCase({ name, aliases, options, places }: CommandWords): string {
  const specs = [...options.map(optionSpec), ...places.map(placeSpec)].join('');
  return `        ${[name, ...aliases].join('|')})\n          _arguments -S${specs}\n          ;;\n`;
}

function optionSpec({ names, description, value, mayRepeat }: OptionWords): string {
  const text = `[${escaped(description)}]${value ? valueSpec(value) : ''}`;
  return names
    .map((name) => {
      const takesNext = value && name.startsWith('--') ? `${name}=` : name;
      return spec(mayRepeat ? `*${takesNext}${text}` : `(${names.join(' ')})${takesNext}${text}`);
    })
    .join('');
}

function placeSpec(place: PlaceWords, index: number): string {
  return spec(`${place.isVariadic ? '*' : index + 1}${valueSpec(place)}`);
}

function valueSpec({ name, takes }: PlaceWords): string {
  return `:${escaped(name)}:${action(takes)}`;
}

function action(takes: Takes): string {
  if (takes.kind === 'words') return `(${takes.words.join(' ')})`;
  if (takes.kind === 'command') return '_proofboard_commands';
  if (takes.kind === 'text') return ' ';
  if (takes.endings.length === 0) return '_files';
  const after = takes.kind === 'place' ? '-S \\: ' : '';
  // Behind a space a function is called as it stands here.
  return ` _proofboard_files ${after}${takes.endings.join(' ')}`;
}

function spec(text: string): string {
  return ` \\\n            ${quoted(text)}`;
}

/** Brackets, colons and backslashes have a meaning in what `_arguments` is told. */
function escaped(text: string): string {
  return text.replaceAll(/[[\]:\\]/g, '\\$&');
}

function quoted(text: string): string {
  return `'${text.replaceAll("'", "'\\''")}'`;
}
