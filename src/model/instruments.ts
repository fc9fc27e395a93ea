import { BODY, type CarryReading, type GaugeReading } from '../boards/instrument-reading.js';
import { cuttingRadius, type Machine } from '../machine/machine.js';
import { bowShape, xi } from './coordinates.js';
import { addKnife, addReference, type Combination, type Layout } from './layout.js';
import { stationsOf } from './stations.js';

/** Instruments beside the calipers whose readings belong in the same fit. */
export type InstrumentKind = 'gauge' | 'carry' | 'marks';

/** A weighted sum of knives' heights at one x. */
export interface HeightSum {
  readonly x: number;
  readonly terms: readonly { readonly knife: number; readonly weight: number }[];
}

/** What the ridges of one board at one x say: independent sums of heights, each in its own unit. */
export interface MarksRow extends HeightSum {
  /** mm */
  readonly value: number;
  /** mm of height that one mm of a ridge's position is worth. */
  readonly scale: number;
}

/** A knife that left no mark: this sum of heights is at most so much. */
export interface HiddenKnife extends HeightSum {
  readonly knife: number;
  readonly atMost: number;
}

/** Everything that was read beside the thicknesses. */
export interface InstrumentReadings {
  readonly gauge: readonly GaugeReading[];
  readonly carry: readonly CarryReading[];
  readonly marks: readonly MarksRow[];
  readonly hidden: readonly HiddenKnife[];
}

/** Nothing but thicknesses. */
export const NO_INSTRUMENTS: InstrumentReadings = { gauge: [], carry: [], marks: [], hidden: [] };

/** One observation of an instrument: combination · parameters = value ± scale·(the kind's noise). */
export interface InstrumentRow {
  readonly kind: InstrumentKind;
  /** What was written down; null for marks, of which one row is made of many ridges. */
  readonly source: GaugeReading | CarryReading | null;
  readonly combination: Combination;
  readonly value: number;
  readonly scale: number;
  readonly x: number;
  /** Indices of the knives that it tells of. */
  readonly knives: readonly number[];
}

/** The noise of a carry that its scale is worked out with, mm: a rule read to about half a mm. */
export const CARRY_SD = 0.3;

const TABLE = 'table';
const GAUGE = 'gauge';

/**
 * The parameters that instruments bring with them: the zeros of the gauge, the slope and the crown of
 * what its foot and the carried rule stand on, the block's body against the mean of the knives. Only
 * those are taken that the readings speak of.
 *
 * @param bows whether knives may be bowed: then what an instrument stands on may be so too
 */
export function referencesOf(
  machine: Machine,
  { gauge, carry }: InstrumentReadings,
  bows: boolean,
): string[] {
  const span = machine.adjusters.at.at(-1)! - machine.adjusters.at[0]!;
  const places = (readings: readonly { readonly x: number }[]) => stationsOf(readings, span).length;
  const zeros = new Map<string, GaugeReading[]>();
  for (const reading of gauge) {
    const name = zeroName(reading);
    zeros.set(name, [...(zeros.get(name) ?? []), reading]);
  }
  const most = Math.max(0, ...[...zeros.values()].map(places));
  const shared = [...zeros.values()].some(
    (group) =>
      group.some(({ knife }) => knife === BODY) && group.some(({ knife }) => knife !== BODY),
  );
  const body = places(gauge.filter(({ knife }) => knife === BODY));
  const names = [...zeros.keys()];
  if (most >= 2) names.push(`${GAUGE} slope`);
  if (most >= 3 && bows) names.push(`${GAUGE} crown`);
  if (shared) names.push('body depth');
  if (body >= 2) names.push('body slope');
  if (body >= 3 && bows) names.push('body bow');
  const along = places(carry);
  if (along >= 1) names.push(`${TABLE} level`);
  if (along >= 2) names.push(`${TABLE} slope`);
  if (along >= 3 && bows) names.push(`${TABLE} crown`);
  return names;
}

/** All rows of the instruments, in the order gauge, carry, marks. */
export function instrumentRows(
  machine: Machine,
  layout: Layout,
  { gauge, carry, marks }: InstrumentReadings,
): InstrumentRow[] {
  return [
    ...gauge.map((reading) => gaugeRow(layout, reading)),
    ...carry.filter(carries).map((reading) => carryRow(machine, layout, reading)),
    ...marks.map((row): InstrumentRow => {
      const knives = row.terms.map(({ knife }) => knife);
      const { x, value, scale } = row;
      const combination = heightSum(layout, row);
      return { kind: 'marks', source: null, combination, value, scale, x, knives };
    }),
  ];
}

/** Something that cannot be higher than a limit: combination · parameters ≤ atMost, mm. */
export interface Bound {
  readonly kind: 'hidden' | 'not-carried';
  readonly combination: Combination;
  readonly atMost: number;
  readonly x: number;
  readonly knife: number;
}

/** What is only known to be no higher: knives that leave no mark, edges that carry no rule. */
export function boundsOf(
  machine: Machine,
  layout: Layout,
  { carry, hidden }: InstrumentReadings,
): Bound[] {
  return [
    ...hidden.map((knife): Bound => {
      const combination = heightSum(layout, knife);
      return { kind: 'hidden', combination, atMost: knife.atMost, x: knife.x, knife: knife.knife };
    }),
    ...carry
      .filter((reading) => !carries(reading))
      .map((reading): Bound => {
        const { combination, knives } = carryRow(machine, layout, reading);
        return { kind: 'not-carried', combination, atMost: 0, x: reading.x, knife: knives[0]! };
      }),
  ];
}

/** An edge below the table leaves the rule where it lies, however far below. */
function carries({ carry }: CarryReading): boolean {
  return carry > 0;
}

/** A weighted sum of heights as a combination of parameters. */
export function heightSum(layout: Layout, { x, terms }: HeightSum): Combination {
  const out = new Float64Array(layout.size);
  for (const { knife, weight } of terms) addKnife(layout, out, knife, x, weight);
  return out;
}

/**
 * reading = zero + what its foot stands on + height. What the foot stands on, bed or table, need not
 * lie parallel to anything, so its slope and crown are its own; the body stands at a depth below the
 * mean of the knives, which may themselves be set on a slant to it.
 */
function gaugeRow(layout: Layout, source: GaugeReading): InstrumentRow {
  const { knife, x, reading } = source;
  const out = new Float64Array(layout.size);
  addReference(layout, out, zeroName(source), 1);
  addStand(layout, out, GAUGE, x);
  const index = layout.knives.indexOf(knife);
  if (knife === BODY) {
    addReference(layout, out, 'body depth', 1);
    addReference(layout, out, 'body slope', -xi(layout.span, x) / 2);
    addReference(layout, out, 'body bow', -bowShape(xi(layout.span, x)));
  } else {
    addKnife(layout, out, index, x, 1);
  }
  const knives = knife === BODY ? [] : [index];
  return { kind: 'gauge', source, combination: out, value: reading, scale: 1, x, knives };
}

/**
 * An edge that carries a rule by the chord c stands c²/(8R) above the table. Of c ± σ that is known
 * to √(4c²σ² + 2σ⁴)/(8R), the standard deviation of a normal number's square.
 */
function carryRow(machine: Machine, layout: Layout, source: CarryReading): InstrumentRow {
  const { knife, x, carry } = source;
  const out = new Float64Array(layout.size);
  addReference(layout, out, `${TABLE} level`, 1);
  addStand(layout, out, TABLE, x);
  const index = layout.knives.indexOf(knife);
  addKnife(layout, out, index, x, 1);
  const eighth = 8 * cuttingRadius(machine);
  return {
    kind: 'carry',
    source,
    combination: out,
    value: carry ** 2 / eighth,
    scale: Math.sqrt(4 * carry ** 2 + 2 * CARRY_SD ** 2) / eighth,
    x,
    knives: [index],
  };
}

function addStand(layout: Layout, out: Combination, stand: string, x: number): void {
  addReference(layout, out, `${stand} slope`, xi(layout.span, x) / 2);
  addReference(layout, out, `${stand} crown`, bowShape(xi(layout.span, x)));
}

function zeroName({ zero }: GaugeReading): string {
  return `zero ${JSON.stringify(zero)}`;
}
