#!/usr/bin/env node
import { readFileSync } from 'node:fs';

/**
 * The program's door. It answers `--version` itself and loads the rest only when that is wanted, so
 * that it starts as fast as node does.
 */
const version: string = JSON.parse(
  readFileSync(new URL('../package.json', import.meta.url), 'utf8'),
).version;

const [first, ...more] = process.argv.slice(2);
if ((first === '--version' || first === '-V') && more.length === 0) {
  process.stdout.write(`${version}\n`);
} else {
  const { run } = await import('./program.js');
  await run(process.argv.slice(2), { version, folder: new URL('.', import.meta.url) });
}
