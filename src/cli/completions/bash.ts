import type { CommandWords, Grammar, OptionWords, PlaceWords } from './grammar.js';
import type { Takes } from './takes.js';

/** The script that completes the program's words in bash (4 or later). */
export function bashScript({ options, commands }: Grammar): string {
  const whole = { name: "''", aliases: [], options, places: [] };
  const cases = [whole, ...commands].map(commandCase).join('');
  const names = commands.map(({ name }) => name).join(' ');
  const aliases = commands.flatMap((command) => command.aliases).join(' ');
  return `# Completions of proofboard for bash, made by: proofboard completions bash

_proofboard_names='${names}'
_proofboard_aliases='${aliases}'

# The options of a command (their names, + of those that may be given again, and
# what they take), its arguments in their order, and what takes all that follow.
_proofboard_words() {
  options=() places=() rest=''
  case $1 in
${cases}  esac
}
${ENGINE}`;
}

function commandCase({
  name,
  aliases,
  options,
  places,
}: Pick<CommandWords, 'name' | 'aliases' | 'options' | 'places'>): string {
  const rest = places.find(({ isVariadic }) => isVariadic);
  const single = places.filter((place) => place !== rest);
  const lines = [
    ...(options.length > 0 ? ['options=(', ...options.map(optionWord), ')'] : []),
    ...(single.length > 0 ? [`places=(${single.map(placeWord).join(' ')})`] : []),
    ...(rest ? [`rest=${placeWord(rest)}`] : []),
  ];
  const body = lines.map((line) => `      ${line}\n`).join('');
  return `    ${[name, ...aliases].join(' | ')})\n${body}      ;;\n`;
}

function optionWord({ names, value, mayRepeat }: OptionWords): string {
  const named = `${names.join(',')}${mayRepeat ? '+' : ''}`;
  return `  '${value ? `${named} ${takesWords(value.takes)}` : named}'`;
}

function placeWord({ takes }: PlaceWords): string {
  return `'${takesWords(takes)}'`;
}

function takesWords(takes: Takes): string {
  if (takes.kind === 'words') return ['words', ...takes.words].join(' ');
  return 'endings' in takes ? [takes.kind, ...takes.endings].join(' ') : takes.kind;
}

/** Reads what stands before the cursor, and offers what may come there. */
const ENGINE = `
_proofboard() {
  local IFS=$' \\t\\n'
  local cur=\${2-\${COMP_WORDS[COMP_CWORD]}}
  local command='' given=' ' takes='' ended='' place=0 prefix='' rest='' at
  local -a options places
  COMPREPLY=()
  _proofboard_words ''
  for ((at = 1; at < COMP_CWORD; at++)); do
    _proofboard_pass "\${COMP_WORDS[at]}"
  done
  # bash takes = and : for words of their own; behind a colon stands a line's number.
  [[ \${COMP_WORDS[COMP_CWORD]} == :* ]] && return
  [[ $cur == = ]] && cur=''
  if [[ -z $takes$ended && $cur == --*=* ]]; then
    prefix=\${cur%%=*}=
    cur=\${cur#*=}
    _proofboard_takes "\${prefix%=}"
  elif [[ -z $takes && ( -n $ended || $cur != -* ) ]]; then
    if [[ -z $command ]]; then takes='command'; else takes=\${places[place]-$rest}; fi
  fi
  if [[ -n $takes ]]; then
    # shellcheck disable=SC2086 # what is taken is several words
    _proofboard_offer $takes
  elif [[ -z $ended$prefix ]]; then
    _proofboard_offer words "$(_proofboard_options_left)"
  fi
  COMPREPLY=("\${COMPREPLY[@]/#/$prefix}")
}

# Takes account of a word before the cursor.
_proofboard_pass() {
  case $1 in
    =) ;;
    :*) takes='text' ;;
    [\\<\\>]*) takes='file' ;;
    *)
      if [[ -n $takes ]]; then
        takes=''
      elif [[ -z $ended && $1 == -- ]]; then
        ended='yes'
      elif [[ -z $ended && $1 == -?* ]]; then
        given+="\${1%%=*} "
        _proofboard_takes "$1"
      elif [[ -z $command ]]; then
        command=$1
        _proofboard_words "$command"
      else
        place=$((place + 1))
      fi
      ;;
  esac
}

# Finds what an option takes.
_proofboard_takes() {
  local option names kind
  for option in "\${options[@]}"; do
    read -r names kind <<<"$option"
    [[ ,\${names%+}, == *",$1,"* ]] && takes=$kind
  done
}

# Prints the options that may still be given, each by its longest name.
_proofboard_options_left() {
  local option names name
  for option in "\${options[@]}"; do
    read -r names _ <<<"$option"
    for name in \${names//,/ }; do
      [[ $given == *" $name "* ]] && continue 2
    done
    name=\${names##*,}
    printf '%s ' "\${name%+}"
  done
}

_proofboard_offer() {
  local kind=$1
  shift
  case $kind in
    words) mapfile -t COMPREPLY < <(compgen -W "$*" -- "$cur") ;;
    command)
      mapfile -t COMPREPLY < <(compgen -W "$_proofboard_names" -- "$cur")
      [[ \${#COMPREPLY[@]} -gt 0 ]] ||
        mapfile -t COMPREPLY < <(compgen -W "$_proofboard_aliases" -- "$cur")
      ;;
    file) _proofboard_files "$@" ;;
    place)
      _proofboard_files "$@"
      compopt -o nospace 2>/dev/null
      ;;
  esac
}

# Offers folders, and files with one of the endings given, or with any if none is.
_proofboard_files() {
  local file folders ending
  folders=$'\\n'$(compgen -d -- "$cur")$'\\n'
  while IFS= read -r file; do
    ending=\${file##*.}
    if [[ $# == 0 || $folders == *$'\\n'"$file"$'\\n'* ||
      $file == *.* && " $* " == *" \${ending,,} "* ]]; then
      COMPREPLY+=("$file")
    fi
  done < <(compgen -f -- "$cur")
  compopt -o filenames 2>/dev/null
}

complete -F _proofboard proofboard
`;
