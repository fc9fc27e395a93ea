import { spawnSync } from 'node:child_process';
import { existsSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeEach, describe, expect, test } from 'vitest';
import { zshScript } from '../../src/cli/completions/zsh.js';
import { proofboard, temporaryFolder } from '../cli/program.js';
import { helpCommands, helpOptions, longNames } from './help-words.js';
import { inventedGrammar } from './invented.js';
import { installing, OFFERED, shellLine, TAB, userIn, workFolder } from './shell.js';

/** Of what is offered at a Tab, each word is written to a file besides; `-O`, `-A` and `-D` only ask. */
const KEYS = `
PS1='READY> '
LISTMAX=1000
compadd() {
  local -a words
  if [[ \${@[1,(i)(-|--)]} != *-(O|A|D)\\ * ]]; then
    builtin compadd -A words "$@"
    (( $#words )) && print -rl -- "\${(@Q)words}" >> ~/offered
  fi
  builtin compadd "$@"
}
show() { print -r -- "<<$BUFFER>>"; BUFFER='' }
zle -N show
bindkey '^Xs' show
`;
const COMPINIT = 'autoload -Uz compinit\ncompinit -u\n';

interface Zsh {
  line(keys: string): Promise<string>;
  /** All that is offered at a Tab behind what is typed, in order of the alphabet. */
  offers(typed: string): Promise<string[]>;
}

let folder = '';
beforeEach(() => {
  folder = workFolder();
});

/** A zsh whose user did what the help says, in a home of their own. */
async function zshOf(settings: string, prepare = ''): Promise<Zsh> {
  const home = temporaryFolder();
  const env = { ...userIn(home), ZDOTDIR: home };
  expect(spawnSync('zsh', ['-f', '-c', prepare], { env, encoding: 'utf8' }).stderr).toBe('');
  writeFileSync(join(home, '.zshrc'), settings + KEYS);
  const line = await shellLine('zsh', folder, env);
  const file = join(home, 'offered');
  return {
    line,
    offers: async (typed) => {
      rmSync(file, { force: true });
      await line(typed + TAB);
      if (!existsSync(file)) return [];
      const words = readFileSync(file, 'utf8').split('\n');
      return words.filter((word) => word !== '').sort();
    },
  };
}

function installed(): Promise<Zsh> {
  return zshOf(COMPINIT + installing('zsh')[0]!);
}

/** The names of options, short ones too, as zsh offers both. */
function allNames(command: string | null, ...but: readonly string[]): string[] {
  const options = helpOptions(command).filter(({ names }) => !but.includes(names.at(-1)!));
  return options.flatMap(({ names }) => [...names]).sort();
}

test('the script is zsh', () => {
  const input = proofboard(['completions', 'zsh']).stdout;
  expect(spawnSync('zsh', ['-f', '-n'], { input, encoding: 'utf8' })).toMatchObject({
    status: 0,
    stderr: '',
  });
});

describe('installed as the help says', () => {
  const [below, above, once] = installing('zsh');

  test.each([
    { how: 'sourced below compinit', settings: COMPINIT + below, prepare: '' },
    { how: 'a file in a folder of $fpath', settings: above + COMPINIT, prepare: once },
  ])('$how', async ({ settings, prepare }) => {
    const { line } = await zshOf(settings, prepare);
    expect(await line(`proofboard an${TAB}`)).toBe('proofboard analyse ');
    expect(await line(`proofboard analyz${TAB}`)).toBe('proofboard analyze ');
    expect(await line(`proofboard read ma${TAB}b${TAB}`)).toBe(
      'proofboard read machine.toml boards.csv ',
    );
  });

  test('without compinit it says what is missing', () => {
    const home = temporaryFolder();
    const run = spawnSync('zsh', ['-f', '-c', below!], { env: userIn(home), encoding: 'utf8' });
    expect(run.stderr).toContain('compinit');
  });
});

describe('what is offered at the Tab key', () => {
  test('commands', async () => {
    const { offers } = await installed();
    expect(await offers('proofboard ')).toEqual(helpCommands().sort());
    expect(await offers('proofboard help ')).toEqual(helpCommands().sort());
    expect(await offers('proofboard analyz')).toEqual(['analyze']);
    expect(await offers('proofboard frobnicate ')).toEqual([]);
  });

  test('options of the program and of every command, as the help lists them', async () => {
    const { offers } = await installed();
    expect(await offers('proofboard -')).toEqual(allNames(null));
    for (const command of helpCommands().filter((name) => name !== 'help')) {
      expect(await offers(`proofboard ${command} --`)).toEqual(longNames(helpOptions(command)));
    }
    expect(await offers('proofboard analyze --')).toEqual(longNames(helpOptions('analyse')));
  });

  test('an option that was given is offered no more, unless it may be given again', async () => {
    const { offers } = await installed();
    const given = '--json --unit=mm --gauge a.csv --exclude a.csv:7 --target mean';
    expect(await offers(`proofboard analyse machine.toml ${given} --`)).toEqual(
      longNames(helpOptions('analyse'), '--json', '--unit', '--target'),
    );
    expect(await offers('proofboard analyse --help --he')).toEqual([]);
  });

  test('choices and listed words, and nothing where any text may stand', async () => {
    const { line, offers } = await installed();
    expect(await offers('proofboard analyse --unit ')).toEqual(['in', 'mm']);
    expect(await offers('proofboard analyse --unit=')).toEqual(['in', 'mm']);
    expect(await line(`proofboard analyse --unit=i${TAB}`)).toBe('proofboard analyse --unit=in ');
    expect(await offers('proofboard plan --cuts ')).toEqual(['full', 'hand', 'proud']);
    expect(await offers('proofboard completions ')).toEqual(['bash', 'fish', 'zsh']);
    expect(await offers('proofboard plan --stations ')).toEqual([]);
  });

  test.each([
    { typed: 'read', kind: 'machines' },
    { typed: 'analyze', kind: 'machines' },
    { typed: 'analyse machine.toml', kind: 'readings' },
    { typed: 'analyse machine.toml boards.csv', kind: 'readings' },
    { typed: 'analyse --unit mm --out x.json', kind: 'machines' },
    { typed: 'analyse --gauge', kind: 'readings' },
    { typed: 'analyse --exclude', kind: 'readings' },
    { typed: 'analyse --out', kind: 'all' },
    { typed: 'confirm machine.toml boards.csv --against', kind: 'results' },
    { typed: 'sheet --plan', kind: 'results' },
    { typed: 'analyse --', kind: 'machines' },
    { typed: 'analyse machine.toml - <', kind: 'all' },
  ] as const)('files behind $typed: $kind', async ({ typed, kind }) => {
    const { offers } = await installed();
    expect(await offers(`proofboard ${typed} `)).toEqual(OFFERED[kind]);
  });

  test('files with odd names, as they are, quoted or begun', async () => {
    const { line } = await installed();
    const read = 'proofboard read machine.toml ';
    expect(await line(`${read}my${TAB}`)).toBe(`${read}my\\ boards.csv `);
    expect(await line(`${read}my\\ b${TAB}`)).toBe(`${read}my\\ boards.csv `);
    expect(await line(`${read}"my b${TAB}`)).toBe(`${read}"my boards.csv" `);
    expect(await line(`${read}jo${TAB}`)).toBe(`${read}joiner\\'s\\ \\$1.csv `);
    expect(await line(`${read}a${TAB}`)).toBe(`${read}a:b.csv `);
    expect(await line(`${read}\\[${TAB}`)).toBe(`${read}\\[1\\]\\ \\&\\ \\(2\\).txt `);
    expect(await line(`${read}old${TAB}in${TAB}`)).toBe(`${read}old\\ jobs/in\\ side.csv `);
    expect(await line(`proofboard analyse --gauge=my${TAB}`)).toBe(
      'proofboard analyse --gauge=my\\ boards.csv ',
    );
    expect(await line(`proofboard analyse --exclude my${TAB}7`)).toBe(
      'proofboard analyse --exclude my\\ boards.csv:7',
    );
  });
});

test('words of another program are completed without being mentioned', async () => {
  const script = zshScript(inventedGrammar());
  expect(spawnSync('zsh', ['-f', '-n'], { input: script, encoding: 'utf8' }).stderr).toBe('');
  const { offers } = await zshOf(`${COMPINIT}${script}`);
  expect(await offers('proofboard ')).toEqual(['help', 'weigh']);
  expect(await offers('proofboard p')).toEqual(['poise']);
  expect(await offers('proofboard weigh --')).toEqual(
    ['--quiet', '--kilo', '--state', '--from', '--each', '--colour', '--help'].sort(),
  );
  expect(await offers('proofboard poise -q -k 3 --each x --')).toEqual(
    ['--state', '--from', '--each', '--colour', '--help'].sort(),
  );
  expect(await offers('proofboard weigh --state ')).toEqual(['off', 'on']);
  expect(await offers('proofboard weigh --colour ')).toEqual(['blue', 'red']);
  expect(await offers('proofboard weigh -k 3 ')).toEqual(OFFERED.machines);
  expect(await offers('proofboard weigh machine.toml ')).toEqual(['quick', 'slow-1.5']);
  expect(await offers('proofboard weigh --from ')).toEqual(OFFERED.results);
  expect(await offers('proofboard weigh --each ')).toEqual(OFFERED.readings);
});
