import { spawnSync } from 'node:child_process';
import { beforeEach, describe, expect, test } from 'vitest';
import { fishScript } from '../../src/cli/completions/fish.js';
import { proofboard, temporaryFolder, written } from '../cli/program.js';
import { helpCommands, helpOptions } from './help-words.js';
import { inventedGrammar } from './invented.js';
import { installing, OFFERED, userIn, workFolder } from './shell.js';

let folder = '';
let env: Readonly<Record<string, string>> = {};
beforeEach(() => {
  folder = workFolder();
  env = userIn(temporaryFolder());
});

/** Runs fish, which has to be silent on standard error, and gives the lines it prints. */
function fish(script: string, ...args: readonly string[]): string[] {
  const run = spawnSync('fish', ['-c', script, ...args], { cwd: folder, env, encoding: 'utf8' });
  expect(run.stderr).toBe('');
  return run.stdout.split('\n').filter((line) => line !== '');
}

/** What is offered behind what is typed, without descriptions, in order of the alphabet. */
function offers(typed: string, before = ''): string[] {
  const lines = fish(`${before}\ncomplete -C $argv[1]`, typed);
  return lines.map((line) => line.split('\t')[0]!).sort();
}

/** Folders as fish offers them. */
function slashed(names: readonly string[]): string[] {
  return names.map((name) => (/^(old jobs|folder\.csv)$/.test(name) ? `${name}/` : name)).sort();
}

function allNames(command: string | null, ...but: readonly string[]): string[] {
  const options = helpOptions(command).filter(({ names }) => !but.includes(names.at(-1)!));
  return options.flatMap(({ names }) => [...names]).sort();
}

/** What fish finds wrong with a script that it reads and does not run. */
function faultsIn(script: string): string {
  const [path] = written(folder, { 'script.fish': script });
  const run = spawnSync('fish', ['--no-execute', path!], { env, encoding: 'utf8' });
  return run.status === 0 ? run.stderr : `${run.status}: ${run.stderr}`;
}

function install(): void {
  const [once, ...more] = installing('fish');
  expect(more).toEqual([]);
  expect(fish(once!)).toEqual([]);
}

test('the script is fish', () => {
  expect(faultsIn(proofboard(['completions', 'fish']).stdout)).toBe('');
});

describe('what is offered, installed as the help says', () => {
  beforeEach(install);

  test('commands, with what they do', () => {
    expect(offers('proofboard ')).toEqual(helpCommands().sort());
    expect(offers('proofboard help ')).toEqual(helpCommands().sort());
    expect(fish('complete -C "proofboard an"')).toEqual(['analyse\tknives, bed, what to turn']);
    expect(offers('proofboard analyz')).toEqual(['analyze']);
    expect(offers('proofboard frobnicate ')).toEqual([]);
  });

  test('options of the program and of every command, as the help lists them', () => {
    expect(offers('proofboard -')).toEqual(allNames(null));
    for (const command of helpCommands().filter((name) => name !== 'help')) {
      expect(offers(`proofboard ${command} -`)).toEqual(allNames(command));
    }
    expect(offers('proofboard analyze -')).toEqual(allNames('analyse'));
  });

  test('an option that was given is offered no more, unless it may be given again', () => {
    const given = '--json --unit=mm --gauge a.csv --exclude a.csv:7 --target mean';
    const left = allNames('analyse', '--json', '--unit', '--target');
    expect(offers(`proofboard analyse machine.toml ${given} -`)).toEqual(left);
    expect(offers('proofboard analyse -h --he')).toEqual([]);
    expect(offers('proofboard analyse --json -')).toEqual(allNames('analyse', '--json'));
  });

  test('choices and listed words, and nothing where any text may stand', () => {
    expect(offers('proofboard analyse --unit ')).toEqual(['in', 'mm']);
    expect(offers('proofboard analyse --unit=')).toEqual(['--unit=in', '--unit=mm']);
    expect(offers('proofboard plan --cuts ')).toEqual(['full', 'hand', 'proud']);
    expect(offers('proofboard completions ')).toEqual(['bash', 'fish', 'zsh']);
    expect(offers('proofboard plan --stations ')).toEqual([]);
    expect(offers('proofboard plan machine.toml ')).toEqual([]);
  });

  test.each([
    { typed: 'read', kind: 'machines' },
    { typed: 'analyze', kind: 'machines' },
    { typed: 'analyse machine.toml', kind: 'readings' },
    { typed: 'analyse machine.toml boards.csv', kind: 'readings' },
    { typed: 'analyse "old jobs/deep/machine.toml" my\\ boards.csv', kind: 'readings' },
    { typed: 'analyse --unit mm --out x.json', kind: 'machines' },
    { typed: 'analyse --gauge', kind: 'readings' },
    { typed: 'analyse --out', kind: 'all' },
    { typed: 'confirm machine.toml boards.csv --against', kind: 'results' },
    { typed: 'sheet --plan', kind: 'results' },
    { typed: 'analyse --', kind: 'machines' },
    { typed: 'analyse machine.toml - <', kind: 'all' },
  ] as const)('files behind $typed: $kind', ({ typed, kind }) => {
    expect(offers(`proofboard ${typed} `)).toEqual(slashed(OFFERED[kind]));
  });

  test('files with odd names, as they are, quoted or begun', () => {
    const read = 'proofboard read machine.toml ';
    expect(offers(`${read}my`)).toEqual(['my boards.csv']);
    expect(offers(`${read}my\\ b`)).toEqual(['my boards.csv']);
    expect(offers(`${read}"my b`)).toEqual(['my boards.csv']);
    expect(offers(`${read}old\\ jobs/`)).toEqual(['old jobs/deep/', 'old jobs/in side.csv']);
    expect(offers(`${read}joiner\\'s`)).toEqual(["joiner's $1.csv"]);
    expect(offers('proofboard read ./m')).toEqual(['./machine.toml']);
    expect(offers('proofboard analyse --gauge=my')).toEqual(['--gauge=my boards.csv']);
    expect(offers('proofboard analyse --exclude my')).toEqual(['my boards.csv:']);
    expect(offers('proofboard analyse --exclude old')).toEqual(['old jobs/']);
  });
});

test('words of another program are completed without being mentioned', () => {
  const script = fishScript(inventedGrammar());
  expect(faultsIn(script)).toBe('');
  expect(offers('proofboard ', script)).toEqual(['help', 'weigh']);
  expect(offers('proofboard p', script)).toEqual(['poise']);
  expect(offers('proofboard weigh --', script)).toEqual(
    ['--quiet', '--kilo', '--state', '--from', '--each', '--colour', '--help'].sort(),
  );
  expect(offers('proofboard poise -q -k 3 --each x --', script)).toEqual(
    ['--state', '--from', '--each', '--colour', '--help'].sort(),
  );
  expect(offers('proofboard weigh --state ', script)).toEqual(['off', 'on']);
  expect(offers('proofboard weigh --colour ', script)).toEqual(['blue', 'red']);
  expect(offers('proofboard weigh -k 3 ', script)).toEqual(slashed(OFFERED.machines));
  expect(offers('proofboard weigh machine.toml ', script)).toEqual(['quick', 'slow-1.5']);
  expect(offers('proofboard weigh --from ', script)).toEqual(slashed(OFFERED.results));
  expect(offers('proofboard weigh --each ', script)).toEqual(slashed(OFFERED.readings));
});
