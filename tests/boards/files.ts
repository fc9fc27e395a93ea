import { readdirSync, readFileSync } from 'node:fs';
import { type BoardReadings, readBoards } from '../../src/boards/read-boards.js';
import { benchMachine } from '../machines.js';

const fixtures = new URL('../../fixtures/', import.meta.url);

/** The files of a fixture folder, but for its SOURCE note. */
export function fixtureNames(folder: 'boards' | 'broken'): string[] {
  return readdirSync(new URL(`${folder}/`, fixtures)).filter((name) => name !== 'SOURCE.md');
}

/** Reads fixtures on the bench machine, all in one call. */
export function readFixtures(folder: 'boards' | 'broken', ...names: string[]): BoardReadings {
  const files = names.map((name) => ({
    name,
    content: readFileSync(new URL(`${folder}/${name}`, fixtures)),
  }));
  return readBoards(files, benchMachine());
}

/** Reads one file given as text, UTF-8. */
export function readText(text: string, machine = benchMachine()): BoardReadings {
  return readBoards([{ name: 'a.csv', content: new TextEncoder().encode(text) }], machine);
}

/** Notices in short: `3:10 error date-not-number`. */
export function inShort({ notices }: BoardReadings): string[] {
  return notices.map(({ line, column, severity, code }) => `${line}:${column} ${severity} ${code}`);
}
