/**
 * Writes the demonstration's files into a folder.
 *
 *     make-demo FOLDER                  machine.toml, and what was measured before adjustment
 *     make-demo FOLDER RESULT.json      what was measured after the moves of that result
 *
 * How to bundle and run it stands in fixtures/demo/SOURCE.md.
 */
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { firstRun, rerun } from './demo-shop.js';
import type { Turn } from './shop.js';

const [folder, resultFile] = process.argv.slice(2);
if (folder === undefined) {
  process.stderr.write('make-demo: name the folder to write into\n');
  process.exit(2);
}
const files = resultFile === undefined ? firstRun() : rerun(movesOf(resultFile));
mkdirSync(folder, { recursive: true });
for (const [name, text] of Object.entries(files)) writeFileSync(join(folder, name), text);

function movesOf(file: string): readonly Turn[] {
  return (JSON.parse(readFileSync(file, 'utf8')) as { moves: readonly Turn[] }).moves;
}
