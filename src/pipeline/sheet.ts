import type { Machine } from '../machine/machine.js';
import type { Notice } from '../notices/notice.js';
import type { Plan } from '../record/plan.js';
import { sheetCss } from '../report/html/sheet-css.js';
import type { SheetData } from '../report/html/sheet-data.js';
import { sheetPage } from '../report/html/sheet-page.js';
import { type Place, placesOf } from '../sheet/places.js';
import { sheetCsv } from '../sheet/sheet-csv.js';
import { noiseOf } from './noises.js';
import { sha256Of } from './source.js';

type Unit = 'mm' | 'in';

/** Every place of a plan in the order of measuring, for other programs. Lengths in mm. */
export interface SheetPlaces {
  readonly schema: 'proofboard/sheet@1';
  readonly machine: { readonly name: string; readonly knives: readonly string[] };
  readonly places: readonly Place[];
  readonly notices: readonly Notice[];
}

/** What is asked of a page beside its plan. */
export interface SheetPageOptions {
  readonly unit: Unit;
  /** The page's program, as `npm run build` makes it. */
  readonly script: string;
  /** Under which name the page saves its readings. */
  readonly saveAs: string;
  /** What is to be run with them. */
  readonly command: string;
}

/** A blank sheet as CSV, to be filled in a spreadsheet and given to `analyse`. */
export function blankSheet(plan: Plan, unit: Unit): string {
  return sheetCsv(placesOf(plan.boards), unit, [], plan.machine.name);
}

/** A sheet's places as a record. */
export function sheetPlaces({ machine, boards }: Plan, notices: readonly Notice[]): SheetPlaces {
  return { schema: 'proofboard/sheet@1', machine, places: placesOf(boards), notices };
}

/** A sheet as one page of HTML, to be printed or typed into. */
export async function blankPage(
  machine: Machine,
  plan: Plan,
  { unit, script, saveAs, command }: SheetPageOptions,
): Promise<string> {
  const places = placesOf(plan.boards);
  const data: SheetData = {
    machine,
    noise: noiseOf(machine.instrument),
    places,
    unit,
    key: await keyOf(plan, places, unit),
    saveAs,
    command,
  };
  return sheetPage(data, plan, {
    script: { text: script, hash: await policyHash(script) },
    styleHash: await policyHash(sheetCss()),
  });
}

/** A null plan, or one that asks for no board, is no sheet. */
export function emptyPlanNotice(plan: Plan): Notice | null {
  if (plan.boards.length > 0) return null;
  return {
    code: 'nothing-to-measure',
    severity: 'error',
    message: 'this plan asks for no board: there is no place to be measured',
    hint: 'see what proofboard plan says of it, or name boards with --stations, --repeats and --cuts',
  };
}

/** The same for the same machine, places and unit. */
async function keyOf({ machine }: Plan, places: readonly Place[], unit: Unit): Promise<string> {
  const content = new TextEncoder().encode(JSON.stringify([machine, places, unit]));
  return `proofboard sheet ${await sha256Of({ name: '', content })}`;
}

/** The hash by which a content security policy names a text within a page. */
async function policyHash(text: string): Promise<string> {
  const digest = await crypto.subtle.digest('SHA-256', new TextEncoder().encode(text));
  return `sha256-${btoa(String.fromCharCode(...new Uint8Array(digest)))}`;
}
