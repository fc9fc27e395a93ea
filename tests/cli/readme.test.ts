import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';

const readme = readFileSync('README.md', 'utf8');

/** Every command shown with its output gives that output. */
const shown = [...readme.matchAll(/ {4}\$ proofboard (.+)\n\n```text\n([\s\S]*?)```/g)];

it('shows a real run', () => {
  expect(shown.length).toBeGreaterThan(0);
});

it.each(shown.map((match) => [match[1]!, match[2]!] as const))('%s', (command, output) => {
  const printed = execFileSync('node', ['dist/proofboard.js', ...command.split(' ')], {
    encoding: 'utf8',
    stdio: ['ignore', 'pipe', 'ignore'],
  });
  expect(printed).toBe(output);
});
