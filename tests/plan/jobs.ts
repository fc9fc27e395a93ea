/** Machine files, plans and results put before the library as its users would. */
import { analyse } from '../../src/pipeline/analyse.js';
import { type Planned, type PlanOptions, planBoards } from '../../src/pipeline/plan.js';
import type { Plan } from '../../src/record/plan.js';
import type { Result } from '../../src/record/result.js';

export const source = (name: string, text: string) => ({
  name,
  content: new TextEncoder().encode(text),
});

/** What differs from the bench machine; each is written into the file as it stands. */
export interface MachineWords {
  readonly unit?: string;
  readonly knives?: readonly string[];
  readonly diameter?: number;
  readonly length?: number;
  readonly at?: readonly number[];
  readonly adjusters?: string;
  readonly block?: string;
  readonly feed?: string;
  readonly repeatability?: string;
  readonly knifeTolerance?: number;
  readonly bedTolerance?: number;
  readonly instrument?: string;
}

const SCREWS = `kind = "screw"
thread = "M6"
raised_by = "anticlockwise"
finest_turn = "1/16"`;

export const numbered = (count: number) => Array.from({ length: count }, (_, k) => String(k + 1));

/** An invented machine's file. */
export function machineFile(words: MachineWords = {}): string {
  const {
    unit = 'mm',
    knives = numbered(4),
    diameter = 120,
    length = 520,
    at = [40, 480],
    adjusters = SCREWS,
    block = '',
    feed = '[feed]\nspeed = "9 m/min"',
    repeatability = '0.005',
    knifeTolerance = 0.05,
    bedTolerance = 0.1,
    instrument = 'resolution = 0.01\nmax_error = 0.02',
  } = words;
  return `name = "Invented"
unit = "${unit}"
[block]
knives = ${JSON.stringify(knives)}
cutting_diameter = ${diameter}
length = ${length}
speed = "4500 rpm"
${block}
${feed}
[adjusters]
at = ${JSON.stringify(at)}
${adjusters}
[bed]
repeatability = ${repeatability}
[tolerance]
knife = ${knifeTolerance}
bed = ${bedTolerance}
[instrument]
${instrument}
`;
}

export function planned(machine: string, options: PlanOptions = {}): Promise<Planned> {
  return planBoards(source('machine.toml', machine), options);
}

/** A plan; fails where there is none. */
export async function planFor(machine: string, options: PlanOptions = {}): Promise<Plan> {
  const { plan, notices } = await planned(machine, options);
  if (!plan) throw new Error(notices.map(({ message }) => message).join('\n'));
  return plan;
}

export interface Texts {
  readonly gauge?: string;
  readonly use?: readonly { readonly file: string; readonly line: number }[];
}

/** What the library makes of readings; fails where there is no result. */
export async function resultOf(
  machine: string,
  csvs: readonly string[],
  { gauge, use = [] }: Texts = {},
): Promise<Result> {
  const { result, notices } = await analyse(
    source('machine.toml', machine),
    csvs.map((csv, i) => source(`boards-${i + 1}.csv`, csv)),
    {
      date: new Date(0),
      use,
      ...(gauge === undefined ? {} : { gauge: [source('gauge.csv', gauge)] }),
    },
  );
  if (!result) throw new Error(notices.map(({ message }) => message).join('\n'));
  return result;
}

export const codesOf = ({ notices }: Pick<Plan, 'notices'>) => notices.map(({ code }) => code);
