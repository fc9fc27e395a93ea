import { hasErrors, type Notice } from '../notices/notice.js';
import { finishInit, type Init, openNotices, startInit } from '../pipeline/init.js';
import { ANSWER_OPTIONS } from '../pipeline/init-options.js';
import { toJson } from '../report/json.js';
import { EXIT } from './exit-codes.js';
import { isSource, overwriteNotices, readSource, writeWhole } from './files.js';
import type { InitOptions } from './init.js';
import { nextLines } from './init-words.js';
import { tellNotices } from './tell.js';

const SCHEMA = 'proofboard/machine-file@1';

/** Asks about a machine, or takes what options say, and writes its file. */
export async function runInit(options: InitOptions): Promise<number> {
  const { from, force = false, json = false } = options;
  const source = from === undefined ? null : await readSource(from);
  if (source && !isSource(source)) return refuse([source], json);
  const { init, notices } = await startInit(answersIn(options), source);
  if (!init) return refuse(notices, json);
  if (!canAsk(options)) return writeAtOnce(init, options);
  const { converse } = await import('./init-converse.js');
  const ended = await converse(init, { target: targetOf(options), force });
  if (!('text' in ended)) return ended.code;
  return tellWritten(ended.text, ended.target, ended.notices, json);
}

/** Whether somebody sits there to be asked. Prompts go to standard error, so that output stays clean. */
function canAsk({ yes, from }: InitOptions): boolean {
  return !yes && from !== '-' && process.stdin.isTTY === true && process.stderr.isTTY === true;
}

function targetOf({ out, from }: InitOptions): string {
  if (out !== undefined) return out;
  return process.stdin.isTTY === true ? (from ?? 'machine.toml') : '-';
}

/** What stands behind the options of questions, by their names. */
function answersIn(options: InitOptions): Record<string, string> {
  return Object.fromEntries(
    ANSWER_OPTIONS.flatMap(({ name }) => {
      const typed = options[inCamelCase(name)];
      return typeof typed === 'string' ? [[name, typed] as const] : [];
    }),
  );
}

function inCamelCase(name: string): string {
  return name.replace(/-([a-z])/g, (_, letter: string) => letter.toUpperCase());
}

async function writeAtOnce(init: Init, options: InitOptions): Promise<number> {
  const { force = false, json = false } = options;
  const target = targetOf(options);
  const early = target === '-' ? [] : await overwriteNotices(target, force);
  const open = [...early, ...(await openNotices(init))];
  if (hasErrors(open)) return refuse(open, json);
  const { text, notices } = await finishInit(init, target);
  if (text === null) return refuse(notices, json);
  const failed = target === '-' ? [] : await writeWhole(target, text, force);
  if (failed.length > 0) return refuse([...notices, ...failed], json);
  tellNotices(notices);
  return tellWritten(text, target, notices, json);
}

function tellWritten(
  text: string,
  target: string,
  notices: readonly Notice[],
  json: boolean,
): number {
  const file = target === '-' ? null : target;
  if (json) process.stdout.write(toJson({ schema: SCHEMA, file, text, notices }));
  else if (file === null) process.stdout.write(text);
  if (file !== null)
    process.stderr.write(
      nextLines(file)
        .map((line) => `${line}\n`)
        .join(''),
    );
  return EXIT.done;
}

function refuse(notices: readonly Notice[], json: boolean): number {
  tellNotices(notices);
  if (json) process.stdout.write(toJson({ schema: SCHEMA, notices }));
  return EXIT.badInput;
}
