/**
 * Two instruments that need no board: a dial indicator standing on the bed, read at each edge's
 * extreme, and a rule on the outfeed table that an edge, turned by hand, carries along.
 */
import { asWritten } from './caliper.js';
import type { Random } from './random.js';
import { axisAt, edgeAt, type Shop } from './shop.js';

/** The cutter block's own body, in place of a knife. */
const BODY = 'body';

/** How a dial indicator is used; lengths in mm. */
export interface Indicator {
  readonly noiseSd: number;
  readonly resolution: number;
  /** How often each edge is read at each x. */
  readonly repeats: number;
  /** What a zero is set for: all readings, those at one x, or those of one knife. */
  readonly zeros: 'one' | 'each x' | 'each knife';
  /** Whether the block's body is read too. */
  readonly body: boolean;
  /** How far below the nominal cutting circle the body lies. */
  readonly bodyBelow: number;
  /** How far the spindle runs off its axis, differently each time the block is turned to an edge. */
  readonly runoutSd: number;
  /** How far from its extreme an edge is read: always too little. */
  readonly missSd: number;
}

export const USUAL_INDICATOR: Indicator = {
  noiseSd: 0.005,
  resolution: 0.01,
  repeats: 3,
  zeros: 'one',
  body: false,
  bodyBelow: 0.9,
  runoutSd: 0.001,
  missSd: 0.3,
};

/** What the instrument says beyond the truth, by knife: how a contradiction is made. */
export type Falsely = Readonly<Record<string, number>>;

export interface GaugeRow {
  readonly knife: string;
  readonly x: number;
  /** As written, mm, + further out. */
  readonly reading: string;
  /** Name of its zero; empty where all share one. */
  readonly zero: string;
}

/** Every knife at every x, in rounds, so that a repeat is a new approach to the edge. */
export function gaugeEdges(
  shop: Shop,
  xs: readonly number[],
  indicator: Indicator,
  random: Random,
  falsely: Falsely = {},
): GaugeRow[] {
  const zeros = new Map<string, number>();
  const zeroOf = (name: string) => {
    if (!zeros.has(name)) zeros.set(name, 2 * random.uniform() - 1);
    return zeros.get(name)!;
  };
  const ids = [...shop.knives.map(({ id }) => id), ...(indicator.body ? [BODY] : [])];
  const rounds = Array.from({ length: indicator.repeats }, () => xs).flat();
  return rounds.flatMap((x) =>
    ids.map((knife) => {
      const zero = zeroName(indicator, knife, x);
      const out = indicated(shop, knife, x, indicator, random) + (falsely[knife] ?? 0);
      const shown = zeroOf(zero) + out + random.normal(indicator.noiseSd);
      return { knife, x, reading: asWritten(shown, indicator.resolution), zero };
    }),
  );
}

function zeroName({ zeros }: Indicator, knife: string, x: number): string {
  if (zeros === 'one') return '';
  return zeros === 'each x' ? `at ${x}` : `knife ${knife}`;
}

/** How far out towards the bed the tip finds an edge, or the body; where the axis is far off, less. */
function indicated(
  shop: Shop,
  knife: string,
  x: number,
  indicator: Indicator,
  random: Random,
): number {
  const found = shop.knives.find(({ id }) => id === knife);
  const out = found ? edgeAt(shop, found, x) : -indicator.bodyBelow;
  const radius = shop.radius + out;
  const missed = found ? radius - Math.sqrt(radius ** 2 - random.normal(indicator.missSd) ** 2) : 0;
  return out - axisAt(shop, x) - missed + random.normal(indicator.runoutSd);
}

export function gaugeText(rows: readonly GaugeRow[], comments: readonly string[] = []): string {
  const hasZeros = rows.some(({ zero }) => zero !== '');
  return csv(
    ['knife', 'x', 'reading', ...(hasZeros ? ['zero'] : [])],
    rows.map(({ knife, x, reading, zero }) => [knife, x, reading, ...(hasZeros ? [zero] : [])]),
    comments,
  );
}

/** How a rule is carried along the outfeed table; lengths in mm. */
export interface CarryingRule {
  readonly noiseSd: number;
  readonly resolution: number;
  readonly repeats: number;
  /** The table's height above the nominal cutting circle's highest point, in the middle. */
  readonly table: number;
  /** How much higher than at the front adjuster the table is at the back one. */
  readonly tableTilt: number;
  /** By what share a slipping rule comes less far: the size of a normal number of this sd. */
  readonly slipSd: number;
}

export const USUAL_RULE: CarryingRule = {
  noiseSd: 0.25,
  resolution: 0.5,
  repeats: 3,
  table: -0.05,
  tableTilt: 0,
  slipSd: 0,
};

export interface CarryRow {
  readonly knife: string;
  readonly x: number;
  /** As written, mm. */
  readonly carry: string;
}

export function carryRule(
  shop: Shop,
  xs: readonly number[],
  rule: CarryingRule,
  random: Random,
  falsely: Falsely = {},
): CarryRow[] {
  const rounds = Array.from({ length: rule.repeats }, () => xs).flat();
  return rounds.flatMap((x) =>
    shop.knives.map((knife) => {
      const out = edgeAt(shop, knife, x) + (falsely[knife.id] ?? 0);
      const way = chordAbove(shop.radius + out, out - tableAt(shop, rule, x));
      if (way === 0) return { knife: knife.id, x, carry: '0' };
      const slipped = way * (1 - Math.abs(random.normal(rule.slipSd)));
      const read = Math.max(0, slipped + random.normal(rule.noiseSd));
      return { knife: knife.id, x, carry: asWritten(read, rule.resolution) };
    }),
  );
}

/** The chord that a table cuts off an edge's circle: where the edge comes up through it and goes down. */
export function chordAbove(radius: number, above: number): number {
  return above <= 0 ? 0 : 2 * Math.sqrt(radius ** 2 - (radius - above) ** 2);
}

function tableAt(shop: Shop, rule: CarryingRule, x: number): number {
  const [front, back] = shop.adjusters;
  return rule.table + rule.tableTilt * ((x - front) / (back - front) - 0.5);
}

/** The height of a table that lies so far below the lowest edge at these places. */
export function tableBelowAll(shop: Shop, xs: readonly number[], by: number): number {
  return Math.min(...xs.flatMap((x) => shop.knives.map((knife) => edgeAt(shop, knife, x)))) - by;
}

export function carryText(rows: readonly CarryRow[], comments: readonly string[] = []): string {
  return csv(
    ['knife', 'x', 'carry'],
    rows.map(({ knife, x, carry }) => [knife, x, carry]),
    comments,
  );
}

function csv(
  columns: readonly string[],
  rows: readonly (readonly (string | number)[])[],
  comments: readonly string[],
): string {
  const lines = [...comments.map((comment) => `# ${comment}`), columns, ...rows];
  return `${lines.map((line) => (typeof line === 'string' ? line : line.join(','))).join('\n')}\n`;
}
