import { spawnSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeEach, describe, expect, test } from 'vitest';
import { bashScript } from '../../src/cli/completions/bash.js';
import { helpCommands, helpOptions, longNames } from '../shells/help-words.js';
import { inventedGrammar } from '../shells/invented.js';
import { installing, OFFERED, shellLine, TAB, userIn, workFolder } from '../shells/shell.js';
import { proofboard, temporaryFolder } from './program.js';

const SCRIPT = proofboard(['completions', 'bash']).stdout;
const COMMANDS = helpCommands();
/** The options of every command that has a help of its own. */
const OPTIONS = new Map(
  COMMANDS.filter((command) => command !== 'help').map((name) => [name, helpOptions(name)]),
);

/** Words as bash has them in COMP_WORDS, where = and : stand alone; the cursor is behind the last. */
function offers(words: readonly string[], script = SCRIPT): string[] {
  const { stdout, stderr } = spawnSync(
    'bash',
    [
      '-c',
      `${script}
      function=$(complete -p proofboard)
      function=\${function#*-F }
      COMP_WORDS=(proofboard "$@")
      COMP_CWORD=$#
      COMP_LINE=\${COMP_WORDS[*]}
      COMP_POINT=\${#COMP_LINE}
      "\${function% *}" proofboard "\${COMP_WORDS[-1]}" "\${COMP_WORDS[-2]}"
      printf '%s\\n' "\${COMPREPLY[@]}"`,
      'bash',
      ...words,
    ],
    { cwd: folder, encoding: 'utf8' },
  );
  expect(stderr).toBe('');
  return stdout
    .split('\n')
    .filter((line) => line !== '')
    .sort();
}

let folder = '';
beforeEach(() => {
  folder = workFolder();
});

test.each(['tcsh', '', 'BASH'])('a shell called "%s" is refused, with those there are', (name) => {
  const { code, stdout, stderr } = proofboard(['completions', name]);
  expect([code, stdout]).toEqual([2, '']);
  expect(stderr).toContain(`'${name}'`);
  for (const shell of ['bash', 'zsh', 'fish']) expect(stderr).toContain(shell);
});

test('without a shell it is bad usage', () => {
  expect(proofboard(['completions'])).toMatchObject({ code: 2, stdout: '' });
});

test.each(['bash', 'zsh', 'fish'])(
  'the script for %s starts no program when it completes',
  (name) => {
    const run = proofboard(['completions', name]);
    expect(run).toMatchObject({ code: 0, stderr: '' });
    expect(run.stdout).not.toMatch(/\bnode\b|dist\//);
    expect(run.stdout).toMatch(/\n$/);
  },
);

test('the script is bash', () => {
  expect(spawnSync('bash', ['-n'], { input: SCRIPT, encoding: 'utf8' }).stderr).toBe('');
});

describe('what is offered', () => {
  test('all commands, once', () => {
    expect(offers([''])).toEqual([...COMMANDS].sort());
    expect(offers(['help', ''])).toEqual([...COMMANDS].sort());
  });

  test('a command by its beginning; an alias where no name fits', () => {
    expect(offers(['an'])).toEqual(['analyse']);
    expect(offers(['analyz'])).toEqual(['analyze']);
    expect(offers(['analysee'])).toEqual([]);
    expect(offers(['help', 'con'])).toEqual(['confirm']);
  });

  test('the options of the program', () => {
    expect(offers(['-'])).toEqual(longNames(helpOptions(null)));
  });

  test.each(COMMANDS)('the options of %s, as its help lists them', (command) => {
    expect(offers([command, '-'])).toEqual(longNames(OPTIONS.get(command) ?? []));
  });

  test('the options of an alias are those of its command', () => {
    expect(offers(['analyze', '-'])).toEqual(offers(['analyse', '-']));
    expect(offers(['analyze', ''])).toEqual(OFFERED.machines);
  });

  test('an option that was given is offered no more, unless it may be given again', () => {
    const given = [
      '--json',
      '--unit',
      '=',
      'mm',
      '--gauge',
      'a.csv',
      '--exclude',
      'a.csv',
      ':',
      '7',
    ];
    const left = longNames(OPTIONS.get('analyse')!, '--json', '--unit');
    expect(offers(['analyse', 'machine.toml', ...given, '-'])).toEqual(left);
    expect(left).toEqual(expect.arrayContaining(['--gauge', '--carry', '--marks', '--use']));
    expect(offers(['analyse', '-h', '--he'])).toEqual([]);
  });

  test.each(
    [...OPTIONS].flatMap(([command, options]) =>
      options
        .filter(({ choices }) => choices.length > 0)
        .map(({ names, choices }) => ({ command, option: names.at(-1)!, choices })),
    ),
  )('$command $option: its choices', ({ command, option, choices }) => {
    expect(offers([command, option, ''])).toEqual([...choices].sort());
    expect(offers([command, option, '='])).toEqual([...choices].sort());
    const whole = choices.map((choice) => `${option}=${choice}`);
    expect(offers([command, `${option}=`])).toEqual(whole.sort());
  });

  test('the words that a description lists', () => {
    expect(offers(['analyse', '--target', ''])).toEqual(['bed', 'highest', 'lowest', 'mean']);
    expect(offers(['plan', '--cuts', ''])).toEqual(['full', 'hand', 'proud']);
  });

  test('nothing where any text may stand', () => {
    expect(offers(['marks', '--pitch', ''])).toEqual([]);
    expect(offers(['plan', '--stations', ''])).toEqual([]);
  });

  test('the shells', () => {
    expect(offers(['completions', ''])).toEqual(['bash', 'fish', 'zsh']);
  });

  test('the options where no argument is left', () => {
    expect(offers(['plan', 'machine.toml', ''])).toEqual(longNames(OPTIONS.get('plan')!));
  });

  test.each([
    { words: ['read'], kind: 'machines' },
    { words: ['read', 'machine.toml'], kind: 'readings' },
    { words: ['analyse', 'machine.toml', 'boards.csv'], kind: 'readings' },
    { words: ['analyse', 'machine.toml', '-'], kind: 'readings' },
    { words: ['analyse', '--unit', 'mm'], kind: 'machines' },
    { words: ['analyse', '--json', '--out', 'x.json', 'machine.toml'], kind: 'readings' },
    { words: ['analyse', '--unit', '=', 'mm'], kind: 'machines' },
    { words: ['analyse', '--unit=mm'], kind: 'machines' },
    { words: ['analyse', '--use', 'boards.csv', ':', '17'], kind: 'machines' },
    { words: ['analyse', '--gauge'], kind: 'readings' },
    { words: ['analyse', '--carry', 'a.csv', '--marks'], kind: 'readings' },
    { words: ['analyse', '--exclude'], kind: 'readings' },
    { words: ['analyse', '--out'], kind: 'all' },
    { words: ['confirm', 'machine.toml', 'boards.csv', '--against'], kind: 'results' },
    { words: ['sheet', 'machine.toml', '--plan'], kind: 'results' },
    { words: ['marks', 'machine.toml'], kind: 'readings' },
    { words: ['marks', 'machine.toml', '--result'], kind: 'results' },
    { words: ['analyse', '--'], kind: 'machines' },
    { words: ['analyse', 'machine.toml', '-', '<'], kind: 'all' },
    { words: ['plan', '>', 'x.txt'], kind: 'machines' },
  ] as const)('files behind $words: $kind', ({ words, kind }) => {
    expect(offers([...words, ''])).toEqual(OFFERED[kind]);
  });

  test('files of folders, and files by a quoted beginning', () => {
    expect(offers(['read', 'old jobs/'])).toEqual(['old jobs/deep']);
    expect(offers(['read', './m'])).toEqual(['./machine.toml']);
    expect(offers(['read', 'machine.toml', 'old jobs/'])).toEqual([
      'old jobs/deep',
      'old jobs/in side.csv',
    ]);
    expect(offers(['read', 'machine.toml', 'no such folder/'])).toEqual([]);
  });

  test('whatever the user has set for their shell', () => {
    const settings = 'set -u -f -o posix; shopt -s failglob dotglob nocasematch; IFS=:;';
    expect(offers(['analyse', ''], settings + SCRIPT)).toEqual(OFFERED.machines);
    expect(offers(['analyse', '--unit', ''], settings + SCRIPT)).toEqual(['in', 'mm']);
    expect(offers(['analyse', '-'], settings + SCRIPT)).toEqual(offers(['analyse', '-']));
    expect(offers(['frobnicate', ''], settings + SCRIPT)).toEqual([]);
  });

  test('nothing behind the colon before a line, nor for a command that is not there', () => {
    expect(offers(['analyse', '--exclude', 'boards.csv', ':'])).toEqual([]);
    expect(offers(['analyse', '--exclude', 'boards.csv', ':', 'b'])).toEqual([]);
    expect(offers(['frobnicate', ''])).toEqual([]);
    expect(offers(['frobnicate', '-'])).toEqual([]);
  });
});

describe('words of another program are completed without being mentioned', () => {
  const script = bashScript(inventedGrammar());

  test('its script is bash, whatever stands in its descriptions', () => {
    expect(spawnSync('bash', ['-n'], { input: script, encoding: 'utf8' }).stderr).toBe('');
  });

  test('commands, options, choices and files', () => {
    expect(offers([''], script)).toEqual(['help', 'weigh']);
    expect(offers(['p'], script)).toEqual(['poise']);
    expect(offers(['weigh', '-'], script)).toEqual(
      ['--quiet', '--kilo', '--state', '--from', '--each', '--colour', '--help'].sort(),
    );
    expect(offers(['poise', '-q', '-k', '3', '--each', 'x', '-'], script)).toEqual(
      ['--state', '--from', '--each', '--colour', '--help'].sort(),
    );
    expect(offers(['weigh', '--state', ''], script)).toEqual(['off', 'on']);
    expect(offers(['weigh', '--colour', ''], script)).toEqual(['blue', 'red']);
    expect(offers(['weigh', '-k', '3', ''], script)).toEqual(OFFERED.machines);
    expect(offers(['weigh', 'machine.toml', ''], script)).toEqual(['quick', 'slow-1.5']);
    expect(offers(['weigh', '--from', ''], script)).toEqual(OFFERED.results);
    expect(offers(['weigh', '--each', ''], script)).toEqual(OFFERED.readings);
  });
});

describe('in bash itself, at the Tab key', () => {
  const KEYS = `PS1='READY> '
bind 'set bell-style none'
show() { printf '<<%s>>\\n' "$READLINE_LINE"; READLINE_LINE=''; READLINE_POINT=0; }
bind -x '"\\C-xs": show'
`;

  /** A bash whose user did what the help says. */
  function bashOf(settings: string) {
    const home = temporaryFolder();
    writeFileSync(join(home, '.bashrc'), settings + KEYS);
    return shellLine('bash', folder, userIn(home));
  }

  test('installed as the help says', async () => {
    const [settings, ...more] = installing('bash');
    expect(more).toEqual([]);
    const line = await bashOf(settings!);
    expect(await line(`proofboard an${TAB}`)).toBe('proofboard analyse ');
    expect(await line(`proofboard analyz${TAB}`)).toBe('proofboard analyze ');
    expect(await line(`proofboard analyse --ta${TAB}hi${TAB}`)).toBe(
      'proofboard analyse --target highest ',
    );
    expect(await line(`proofboard analyse --unit=i${TAB}`)).toBe('proofboard analyse --unit=in ');
    expect(await line(`proofboard read ma${TAB}b${TAB}`)).toBe(
      'proofboard read machine.toml boards.csv ',
    );
    expect(await line(`proofboard read b${TAB}`)).toBe('proofboard read b');
  });

  test('files with odd names, as they are, quoted or begun', async () => {
    const line = await bashOf(installing('bash')[0]!);
    const read = 'proofboard read machine.toml ';
    expect(await line(`${read}my${TAB}`)).toBe(`${read}my\\ boards.csv `);
    expect(await line(`${read}my\\ b${TAB}`)).toBe(`${read}my\\ boards.csv `);
    expect(await line(`${read}"my b${TAB}`)).toBe(`${read}"my boards.csv" `);
    expect(await line(`${read}'my b${TAB}`)).toBe(`${read}'my boards.csv' `);
    expect(await line(`${read}jo${TAB}`)).toBe(`${read}joiner\\'s\\ \\$1.csv `);
    expect(await line(`${read}a${TAB}`)).toBe(`${read}a\\:b.csv `);
    expect(await line(`${read}[${TAB}`)).toBe(`${read}\\[1\\]\\ \\&\\ \\(2\\).txt `);
    expect(await line(`${read}old${TAB}in${TAB}`)).toBe(`${read}old\\ jobs/in\\ side.csv `);
    expect(await line(`proofboard read old${TAB}d${TAB}m${TAB}`)).toBe(
      'proofboard read old\\ jobs/deep/machine.toml ',
    );
  });

  test('an option after files and values, and a place ready for its line', async () => {
    const line = await bashOf(installing('bash')[0]!);
    const quoted = 'proofboard confirm "old jobs/deep/machine.toml" my\\ boards.csv ';
    expect(await line(`${quoted}--ag${TAB}fi${TAB}`)).toBe(`${quoted}--against first.json `);
    expect(await line(`${quoted}--out x --unit mm --exc${TAB}b${TAB}`)).toBe(
      `${quoted}--out x --unit mm --exclude boards.csv`,
    );
    expect(await line(`${quoted}> no${TAB}`)).toBe(`${quoted}> notes.md `);
  });
});
