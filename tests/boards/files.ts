import { readdirSync, readFileSync } from 'node:fs';
import type { InputFile } from '../../src/boards/decode.js';
import { type BoardReadings, readBoards } from '../../src/boards/read-boards.js';
import { readCarry } from '../../src/boards/read-carry.js';
import { readGauge } from '../../src/boards/read-gauge.js';
import { readRidges } from '../../src/boards/read-ridges.js';
import type { Machine } from '../../src/machine/machine.js';
import type { Notice } from '../../src/notices/notice.js';
import { benchMachine } from '../machines.js';

const fixtures = new URL('../../fixtures/', import.meta.url);

/** The files of a fixture folder, but for its SOURCE note. */
export function fixtureNames(folder: 'boards' | 'broken'): string[] {
  return readdirSync(new URL(`${folder}/`, fixtures)).filter((name) => name !== 'SOURCE.md');
}

/** Reads fixtures on the bench machine, all in one call. */
export function readFixtures(folder: 'boards' | 'broken', ...names: string[]): BoardReadings {
  return readBoards(
    names.map((name) => fixture(folder, name)),
    benchMachine(),
  );
}

function fixture(folder: 'boards' | 'broken', name: string): InputFile {
  return { name, content: readFileSync(new URL(`${folder}/${name}`, fixtures)) };
}

/** What any of the readers comes to. */
export interface Outcome {
  readonly readings: readonly unknown[];
  readonly notices: readonly Notice[];
}

const READERS: Record<string, (files: readonly InputFile[], machine: Machine) => Outcome> = {
  gauge: readGauge,
  carry: readCarry,
  marks: (files, machine) => {
    const { ridges, notices } = readRidges(files, machine);
    return { readings: ridges, notices };
  },
};

/** Reads a broken fixture for what its name begins with: gauge, carry or marks, else thicknesses. */
export function readBroken(name: string): Outcome {
  const read = READERS[name.split('-')[0]!] ?? readBoards;
  return read([fixture('broken', name)], benchMachine());
}

/** Reads one file given as text, UTF-8. */
export function readText(text: string, machine = benchMachine()): BoardReadings {
  return readBoards([{ name: 'a.csv', content: new TextEncoder().encode(text) }], machine);
}

/** Notices in short: `3:10 error date-not-number`. */
export function inShort({ notices }: Pick<Outcome, 'notices'>): string[] {
  return notices.map(({ line, column, severity, code }) => `${line}:${column} ${severity} ${code}`);
}
