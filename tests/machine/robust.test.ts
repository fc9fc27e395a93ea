import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { readMachine } from '../../src/machine/read-machine.js';
import { hasErrors } from '../../src/notices/notice.js';
import { readText } from './files.js';

const RIGHT = readFileSync('fixtures/machines/thicknesser.toml', 'utf8');

test('a file with a few characters changed is read or refused with places, never a crash', async () => {
  const spot = fc.integer({ min: 0, max: RIGHT.length });
  const piece = fc.oneof(
    fc.string({ maxLength: 3 }),
    fc.constantFrom('"', '[', ']', '=', '\n', '-', '0', ',', '.', '{', '}', '#', 'nan', '"""'),
  );
  await fc.assert(
    fc.asyncProperty(spot, fc.integer({ min: 0, max: 4 }), piece, async (at, gone, put) => {
      const text = RIGHT.slice(0, at) + put + RIGHT.slice(at + gone);
      const { machine, notices } = await readText(text);
      expect(machine === null).toBe(hasErrors(notices));
      const lines = text.split('\n');
      for (const { line, column } of notices) {
        expect(line).toBeGreaterThanOrEqual(1);
        expect(line).toBeLessThanOrEqual(lines.length);
        expect(column).toBeGreaterThanOrEqual(1);
        expect(column).toBeLessThanOrEqual(lines[line! - 1]!.length + 2);
      }
    }),
    { numRuns: 300 },
  );
});

test('any bytes at all are no machine', async () => {
  await fc.assert(
    fc.asyncProperty(fc.uint8Array({ maxLength: 200 }), async (content) => {
      const { machine, notices } = await readMachine({ name: 'x', content });
      expect(machine).toBeNull();
      expect(hasErrors(notices)).toBe(true);
    }),
    { numRuns: 200 },
  );
});

test.each([
  ['without end', `name = ${'['.repeat(20000)}`],
  ['nested beyond any sense', `name = ${'['.repeat(20000)}${']'.repeat(20000)}`],
])('brackets %s are refused', async (_, text) => {
  const { machine, notices } = await readText(text);
  expect(machine).toBeNull();
  expect(notices).toHaveLength(1);
});
