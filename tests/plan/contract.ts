/**
 * What every plan has to be, whatever the machine: which keys, of which types, and what must agree
 * with what. Written from what users of the JSON were promised.
 */
import * as v from 'valibot';
import { noticeShape } from '../cli/contract.js';

const number = v.pipe(v.number(), v.finite());
const count = v.pipe(number, v.integer(), v.minValue(0));
const length = v.pipe(number, v.minValue(0));
const uncertainty = v.nullable(v.pipe(number, v.gtValue(0)));
const text = v.pipe(v.string(), v.minLength(1));

const expected = v.strictObject({
  knifeEndU: uncertainty,
  bedTiltU: uncertainty,
  taperU: uncertainty,
  clearVerdict: v.nullable(v.pipe(number, v.minValue(0), v.maxValue(1))),
});

const board = v.strictObject({
  board: text,
  cut: v.picklist(['hand', 'proud', 'full']),
  knives: v.pipe(v.array(text), v.minLength(1)),
  x: v.pipe(v.array(length), v.minLength(1)),
  y: v.pipe(v.array(length), v.minLength(1)),
  spacing: v.nullable(v.pipe(number, v.gtValue(0))),
  width: v.nullable(v.pipe(number, v.gtValue(0))),
  length: v.nullable(v.pipe(number, v.gtValue(0))),
  setting: v.optional(text),
  again: v.optional(v.literal(true)),
  repeat: v.optional(text),
});

const planShape = v.strictObject({
  schema: v.literal('proofboard/plan@1'),
  machine: v.strictObject({ name: text, knives: v.array(text) }),
  boards: v.array(board),
  readings: count,
  minutes: count,
  expected,
  undetermined: v.array(text),
  smaller: v.nullable(
    v.strictObject({
      stations: v.literal(4),
      repeats: v.literal(2),
      readings: v.pipe(count, v.minValue(1)),
      minutes: v.pipe(count, v.minValue(1)),
      knifeEndU: v.pipe(length, v.gtValue(0)),
    }),
  ),
  earlierFiles: v.optional(v.array(text)),
  instead: v.array(
    v.strictObject({
      kind: v.literal('gauge'),
      x: v.pipe(v.array(length), v.minLength(2)),
      times: v.pipe(count, v.minValue(2)),
      expected,
    }),
  ),
  explain: v.optional(
    v.array(
      v.strictObject({
        board: text,
        knives: v.pipe(v.array(text), v.minLength(1)),
        x: length,
        readings: v.pipe(count, v.minValue(1)),
        without: expected,
      }),
    ),
  ),
  overturning: v.optional(
    v.array(
      v.strictObject({
        knife: text,
        end: text,
        file: text,
        line: v.pipe(count, v.minValue(1)),
        board: text,
        read: text,
        x: length,
        y: number,
        thickness: v.pipe(number, v.minValue(3)),
        wrongBy: number,
      }),
    ),
  ),
  notices: v.array(noticeShape),
});

/** What a machine's owner knows of it, as far as a plan has to heed it. Lengths in mm. */
export interface Heeded {
  readonly knives: readonly string[];
  readonly diameter: number;
  readonly length: number;
  readonly reach?: number;
}

/** Everything about a plan that breaks a promise; empty where none is broken. */
export function planFaults(document: unknown, machine: Heeded): string[] {
  const parsed = v.safeParse(planShape, document);
  if (!parsed.success) {
    return parsed.issues.map((issue) => `${v.getDotPath(issue) ?? 'plan'}: ${issue.message}`);
  }
  const plan = parsed.output;
  const faults: string[] = [];
  const fault = (isOne: boolean, words: string) => {
    if (isOne) faults.push(words);
  };
  const readings = plan.boards.reduce(
    (sum, { knives, x, y }) => sum + knives.length * x.length * y.length,
    0,
  );
  fault(plan.readings !== readings, `${plan.readings} readings, but its boards have ${readings}`);
  fault(
    (plan.expected.knifeEndU === null) !== (plan.expected.clearVerdict === null),
    'a chance of a verdict without a U, or the other way round',
  );
  const cut = plan.boards.filter(({ again }) => !again);
  fault(new Set(cut.map(({ board: name }) => name)).size !== cut.length, 'two boards of one name');
  for (const each of plan.boards) faults.push(...boardFaults(each, machine));
  return faults;
}

function boardFaults(
  {
    board: name,
    cut,
    knives,
    x,
    y,
    spacing,
    width,
    length: long,
    again,
  }: v.InferOutput<typeof board>,
  machine: Heeded,
): string[] {
  const faults: string[] = [];
  const fault = (isOne: boolean, words: string) => {
    if (isOne) faults.push(`${name}: ${words}`);
  };
  const ascends = (values: readonly number[]) =>
    values.every((value, i) => i === 0 || value > values[i - 1]!);
  fault(!ascends(x), 'x does not ascend');
  fault(!again && !ascends(y), 'y does not ascend');
  fault(Math.max(...x) > machine.length, 'x off the block');
  const strange = knives.filter((id) => id !== 'all' && !machine.knives.includes(id));
  fault(strange.length > 0, `no such knives: ${strange.join(', ')}`);
  fault((cut === 'full') !== (knives.join() === 'all'), 'full boards, and only they, are of all');
  if (cut !== 'hand' || again) return faults;
  if (spacing === null || width === null || long === null) return [...faults, 'no size'];
  fault(x.length !== 1, 'a strip lies at one place');
  fault(width > (machine.reach ?? Infinity), 'wider than the calipers reach');
  fault(x[0]! - width / 2 < -1e-9, 'hangs over the front of the block');
  fault(x[0]! + width / 2 > machine.length + 1e-9, 'hangs over the back of the block');
  // A scoop 1 mm deep is 2√(2Rd) long, R being half the diameter.
  fault(spacing <= 2 * Math.sqrt(machine.diameter), 'scoops overlap');
  const round = knives.length * spacing;
  fault(
    y.some((at, i) => i > 0 && at - y[i - 1]! < round - 1e-9),
    'a round begins before the one before it ends',
  );
  fault(y[0]! < 30 || long - (y.at(-1)! + round - spacing) < 30, 'no room to hold it');
  return faults;
}
