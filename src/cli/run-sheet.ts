import { readFile } from 'node:fs/promises';
import { basename, extname } from 'node:path';
import { hasErrors, type Notice } from '../notices/notice.js';
import type { Planned } from '../pipeline/plan.js';
import { blankPage, blankSheet, emptyPlanNotice, sheetPlaces } from '../pipeline/sheet.js';
import { toJson } from '../report/json.js';
import { chosenPlan } from './chosen-plan.js';
import { EXIT } from './exit-codes.js';
import { overwriteNotices, writeWhole } from './files.js';
import type { SheetCommandOptions } from './sheet.js';
import { shellWord } from './shell-word.js';
import { tellNotices } from './tell.js';

/**
 * Plans, and writes or prints the sheet that `sheet` is asked for.
 *
 * @param folder where the page's program lies
 */
export async function runSheet(
  machine: string,
  options: SheetCommandOptions,
  folder: URL,
): Promise<number> {
  const { out, force = false, json } = options;
  const early = [...formNotices(out), ...(await overwriteNotices(out, force))];
  const planned = withPlaces(await chosenPlan(machine, options, early, options.unit));
  const failed = await writeSheet(machine, planned, options, folder);
  const notices = [...planned.notices, ...failed];
  tellNotices(notices);
  const { plan } = planned;
  if (plan === null || hasErrors(notices)) {
    if (json) process.stdout.write(toJson({ schema: 'proofboard/sheet@1', notices }));
    return EXIT.badInput;
  }
  if (json) process.stdout.write(toJson(sheetPlaces(plan, notices)));
  else if (out === undefined) process.stdout.write(blankSheet(plan, unitOf(planned, options)));
  if (out !== undefined) process.stderr.write(`written: ${out}\n`);
  return EXIT.done;
}

const FORMS = ['.csv', '.html', '.htm'];

/** An error where a file's name does not say what to write. */
function formNotices(out: string | undefined): readonly Notice[] {
  if (out === undefined || FORMS.includes(formOf(out))) return [];
  return [
    {
      code: 'unknown-form',
      severity: 'error',
      message: 'the name of a sheet has to end in .csv or .html',
      file: out,
      found: formOf(out) === '' ? 'no ending' : extname(out),
      expected: '.csv to fill in a spreadsheet, or .html to print or type into',
      hint: 'give --out a name with one of these endings',
    },
  ];
}

function formOf(out: string): string {
  return extname(out).toLowerCase();
}

function withPlaces(planned: Planned): Planned {
  const empty = planned.plan && emptyPlanNotice(planned.plan);
  return empty ? { ...planned, plan: null, notices: [...planned.notices, empty] } : planned;
}

function unitOf({ machine }: Planned, { unit }: SheetCommandOptions): 'mm' | 'in' {
  return unit ?? machine?.unit ?? 'mm';
}

async function writeSheet(
  file: string,
  planned: Planned,
  options: SheetCommandOptions,
  folder: URL,
): Promise<readonly Notice[]> {
  const { machine, plan, notices } = planned;
  const { out, force = false } = options;
  if (out === undefined || !machine || !plan || hasErrors(notices)) return [];
  const unit = unitOf(planned, options);
  if (formOf(out) === '.csv') return writeWhole(out, blankSheet(plan, unit), force);
  const saveAs = `${basename(out, extname(out))}.csv`;
  const command = `proofboard analyse ${shellWord(file)} ${shellWord(saveAs)}`;
  const script = await readFile(new URL('sheet-page.js', folder), 'utf8');
  return writeWhole(out, await blankPage(machine, plan, { unit, script, saveAs, command }), force);
}
