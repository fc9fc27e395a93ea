import { readFileSync } from 'node:fs';
import { type MachineReading, readMachine } from '../../src/machine/read-machine.js';

const FOLDER = new URL('../../fixtures/machines/', import.meta.url);

/** Reads a machine from the fixtures. */
export function readFixture(name: string): Promise<MachineReading> {
  return readMachine({ name, content: readFileSync(new URL(name, FOLDER)) });
}

/** Reads a machine from a text. */
export function readText(text: string): Promise<MachineReading> {
  return readMachine({ name: 'm.toml', content: new TextEncoder().encode(text) });
}

/** Each notice in short: `line:column code key-and-message`. */
export function inShort({ notices }: MachineReading): string[] {
  return notices.map(
    ({ line, column, code, message }) => `${line}:${column} ${code} ${message.split(' ')[0]}`,
  );
}
