import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { contractFaults } from './contract.js';
import { marksFaults } from './marks-contract.js';
import { proofboard, root, shell, temporaryFolder } from './program.js';

const COMMANDS = ['init', 'plan', 'sheet', 'read', 'analyse', 'confirm', 'marks'];

/** The lines that a help text gives as examples, in its order. */
function examplesOf(help: string): string[] {
  return [...help.matchAll(/^ *\$ (proofboard .*)$/gm)].map((match) => match[1]!);
}

/** An example with its outputs, and what it reads of an earlier example's, in a folder of ours. */
function elsewhere(example: string, folder: string): string {
  return example.replaceAll(/(--(?:out|against|result)) (\S+)/g, `$1 ${folder}/$2`);
}

test('the program tells of every command, and each of them of its options and examples', () => {
  const help = proofboard(['--help']).stdout;
  for (const command of COMMANDS) {
    expect(help).toMatch(new RegExp(`^  ${command}\\b`, 'm'));
    const own = proofboard([command, '--help']);
    expect(own).toMatchObject({ code: 0, stderr: '' });
    expect(examplesOf(own.stdout).length).toBeGreaterThanOrEqual(2);
    for (const option of ['--json', '--out', '--force', '--unit', '--help']) {
      expect(own.stdout).toContain(option);
    }
    expect(proofboard(['help', command]).stdout).toBe(own.stdout);
    expect(proofboard([command, '-h']).stdout).toBe(own.stdout);
  }
  expect(proofboard(['analyze', '--help']).stdout).toBe(proofboard(['analyse', '--help']).stdout);
});

test.each(['analyse', 'confirm', 'marks'])('%s tells what its exit codes mean', (command) => {
  const text = proofboard([command, '--help']).stdout.replaceAll(/\s+/g, ' ');
  const codes = command === 'confirm' ? ['0', '1', '2', '3'] : ['0', '2', '3'];
  for (const code of codes) expect(text.slice(text.indexOf('Exit code'))).toContain(`${code} `);
});

test('the options of analyse and confirm are all there', () => {
  const fit = ['--gauge', '--carry', '--marks', '--target', '--exclude', '--use'];
  for (const option of fit) {
    expect(proofboard(['analyse', '--help']).stdout).toContain(option);
    expect(proofboard(['confirm', '--help']).stdout).toContain(option);
  }
  expect(proofboard(['confirm', '--help']).stdout).toContain('--against');
});

describe('every example runs as it is printed', () => {
  test.each(['', ...COMMANDS])('of %s --help', (command) => {
    const folder = temporaryFolder();
    const examples = examplesOf(
      proofboard(command === '' ? ['--help'] : [command, '--help']).stdout,
    );
    expect(examples.length).toBeGreaterThan(0);
    const before = readdirSync(root).sort();
    if (examples.some((example) => /--(against|result)/.test(example))) {
      // An earlier result is what analyse wrote, as its own help shows.
      const [first] = examplesOf(proofboard(['analyse', '--help']).stdout).filter((each) =>
        each.includes('--out'),
      );
      expect(shell(elsewhere(first!, folder)).code).toBe(0);
    }
    for (const example of examples) {
      const run = shell(elsewhere(example, folder));
      // Boards under power alone leave the knives open: that is what they are there to show.
      const isOpen = /two-strips|--cuts full/.test(example);
      expect([example, run.code]).toEqual([example, isOpen ? 3 : 0]);
      expect(run.stderr).not.toMatch(/error/);
      if (example.includes('--json') && ['analyse', 'confirm', 'marks'].includes(command)) {
        const faultsOf = command === 'marks' ? marksFaults : contractFaults;
        expect(faultsOf(JSON.parse(run.stdout))).toEqual([]);
      }
    }
    expect(readdirSync(root).sort()).toEqual(before);
    for (const name of readdirSync(folder))
      expect(join(folder, name)).toMatch(/\.(json|csv|html)$/);
  });
});
