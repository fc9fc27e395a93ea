/** A machine as its file describes it. Lengths in mm, angles in turns, whatever the file's unit was. */
export interface Machine {
  readonly name: string;
  /** The unit of plain numbers in the machine file, and of readings without a unit. */
  readonly unit: 'mm' | 'in';
  readonly block: Block;
  /** Feed speed in mm/min; null when the file does not give it. */
  readonly feedSpeed: number | null;
  readonly adjusters: Adjusters;
  readonly bed: Bed;
  readonly set: KnifeSet | null;
  readonly outfeedPresent: boolean;
  readonly tolerance: { readonly knife: number; readonly bed: number };
  readonly instrument: Instrument;
  /** Keys that the file leaves out, each with the value taken for it, in words. */
  readonly assumed: readonly { readonly key: string; readonly value: string }[];
}

export interface Block {
  /** Knife ids in the order in which they pass a fixed point. */
  readonly knives: readonly string[];
  readonly cuttingDiameter: number;
  readonly length: number;
  /** Revolutions a minute. */
  readonly speed: number | null;
  readonly maxSpeed: number | null;
  readonly maxProjection: number | null;
  /** One measured projection of an edge beyond the block's body, as it stands now. */
  readonly projection: {
    readonly knife: string;
    readonly x: number;
    readonly value: number;
  } | null;
  /** Where each knife stands round the block, degrees; null when evenly spaced. */
  readonly angles: readonly number[] | null;
}

interface AdjustersBase {
  /** x of each knife's adjusters, ascending; the outer two are the ends. */
  readonly at: readonly number[];
  /** What the two ends are called. */
  readonly names: readonly [string, string];
}

export interface ScrewAdjusters extends AdjustersBase {
  readonly kind: 'screw';
  /** The thread's designation as written in the file; null when a pitch was given. */
  readonly thread: string | null;
  /** mm; the lift of one turn where the file gives neither a thread nor a pitch. */
  readonly pitch: number;
  /** mm of lift a turn. */
  readonly liftPerTurn: number;
  readonly raisedBy: 'clockwise' | 'anticlockwise';
  /** The smallest part of a turn its owner can set, in turns. */
  readonly finestTurn: number;
  /** Standard deviation of a hand's turn, in turns. */
  readonly turnSd: number;
  /** The last movement, which takes up slack; null when the file does not say. */
  readonly approach: 'raise' | 'lower' | null;
}

export interface ShimAdjusters extends AdjustersBase {
  readonly kind: 'shim';
  /** Shims at hand, thickest first; count null when there are plenty. */
  readonly stock: readonly { readonly thickness: number; readonly count: number | null }[];
  /** At most so many pieces an end. */
  readonly most: number;
}

export type Adjusters = ScrewAdjusters | ShimAdjusters;

export interface Bed {
  /** Standard deviation of the locked bed's height from board to board; null when unknown. */
  readonly repeatability: number | null;
  /** x of the bed's own levelling screws; null when it has none. */
  readonly at: readonly number[] | null;
  readonly thread: string | null;
  readonly liftPerTurn: number | null;
}

export interface KnifeSet {
  readonly name: string | null;
  readonly edge: string | null;
  /** ISO date. */
  readonly fitted: string | null;
  readonly note: string | null;
}

export interface Instrument {
  readonly resolution: number;
  readonly maxError: number;
  /** Standard deviation of one reading where its owner knows it. */
  readonly readingSd: number | null;
  readonly contact: {
    readonly kind: 'flat' | 'point' | 'ball';
    readonly size: number | null;
  } | null;
  /** Jaw depth. */
  readonly reach: number | null;
}

/** Radius of the cutting circle, mm. */
export function cuttingRadius(machine: Machine): number {
  return machine.block.cuttingDiameter / 2;
}

/** Feed a knife in mm; null where feed or speed is not given. */
export function feedPerKnife(machine: Machine): number | null {
  const { speed, knives } = machine.block;
  if (speed === null || machine.feedSpeed === null) return null;
  return machine.feedSpeed / (speed * knives.length);
}

/** x of the two outer adjusters, front first. */
export function outerAdjusters(machine: Machine): readonly [number, number] {
  const { at } = machine.adjusters;
  return [at[0]!, at[at.length - 1]!];
}
