import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { shell } from './program.js';

const readme = readFileSync('README.md', 'utf8');

/** Every command shown with its output gives that output. */
const shown = [...readme.matchAll(/ {4}\$ (proofboard (?:.*\\\n)*.*)\n\n```text\n([\s\S]*?)```/g)];

it('shows real runs', () => {
  expect(shown.length).toBeGreaterThan(2);
});

it.each(shown.map((match) => [match[1]!, match[2]!] as const))('%s', (command, output) => {
  expect(shell(command).stdout).toBe(output);
});
