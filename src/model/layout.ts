import type { Machine } from '../machine/machine.js';
import { bowShape, type Span, spanOf, xi } from './coordinates.js';

/** What one locked bed height and way of cutting share: the gap between bed and knives. */
export interface Level {
  readonly setting: string | null;
  /** Full boards have a level of their own where the knives' heights do not foretell them. */
  readonly kind: 'hand' | 'power' | 'full';
}

/**
 * Which parameter stands where. Knives have a height, a slope and a bow each, less the mean of all
 * knives, which is zero by convention: a common height is the gap's, a common slope the bed's tilt,
 * a common bow the crown. So N knives have N − 1 contrasts of each.
 */
export interface Layout {
  readonly span: Span;
  readonly knives: readonly string[];
  readonly levels: readonly Level[];
  /** Boards whose height has a parameter of its own. */
  readonly boards: readonly string[];
  /** Whether crown and bows are parameters: from three stations up. */
  readonly bows: boolean;
  /** x at which the level of full boards is free; empty where the knives foretell it. */
  readonly nodes: readonly number[];
  /** What other instruments are read against: a zero, a table's slope, where a scoop's bottom lies. */
  readonly references: readonly string[];
  readonly size: number;
  readonly at: {
    readonly board: number;
    readonly tilt: number;
    readonly crown: number;
    readonly height: number;
    readonly slope: number;
    readonly bow: number;
    readonly node: number;
    readonly reference: number;
  };
  /** Orthonormal contrasts, knives × (knives − 1). */
  readonly contrasts: readonly Float64Array[];
}

export interface LayoutParts {
  readonly levels: readonly Level[];
  readonly boards: readonly string[];
  readonly bows: boolean;
  readonly nodes: readonly number[];
  readonly references: readonly string[];
}

/** Lays the parameters out for a machine and what its boards call for. */
export function layOut(machine: Machine, parts: LayoutParts): Layout {
  const knives = machine.block.knives;
  const contrasts = knives.length - 1;
  const board = parts.levels.length;
  const tilt = board + parts.boards.length;
  const crown = tilt + 1;
  const height = crown + (parts.bows ? 1 : 0);
  const slope = height + contrasts;
  const bow = slope + contrasts;
  const node = bow + (parts.bows ? contrasts : 0);
  // The first node is the level itself.
  const reference = node + Math.max(0, parts.nodes.length - 1);
  return {
    ...parts,
    span: spanOf(machine),
    knives,
    size: reference + parts.references.length,
    at: { board, tilt, crown, height, slope, bow, node, reference },
    contrasts: helmert(knives.length),
  };
}

/** A combination of parameters: one coefficient a parameter. */
export type Combination = Float64Array;

/** Adds `weight` times the height of one knife at x to a combination. */
export function addKnife(
  layout: Layout,
  out: Combination,
  knife: number,
  x: number,
  weight: number,
): void {
  const { at, contrasts, bows, span } = layout;
  const ξ = xi(span, x);
  const q = bowShape(ξ);
  contrasts[knife]!.forEach((share, j) => {
    out[at.height + j]! += weight * share;
    out[at.slope + j]! += weight * share * ξ;
    if (bows) out[at.bow + j]! += weight * share * q;
  });
}

/** Adds `weight` times the gap's share of bed tilt and crown at x to a combination. */
export function addBed(layout: Layout, out: Combination, x: number, weight: number): void {
  const ξ = xi(layout.span, x);
  out[layout.at.tilt]! += (weight * ξ) / 2;
  if (layout.bows) out[layout.at.crown]! += weight * bowShape(ξ);
}

/** Adds `weight` times a reference to a combination, where it is one of the parameters. */
export function addReference(layout: Layout, out: Combination, name: string, weight: number): void {
  const place = layout.references.indexOf(name);
  if (place >= 0) out[layout.at.reference + place]! += weight;
}

/** Adds `weight` times the free level of full boards at x: straight lines between the nodes. */
export function addNodes(layout: Layout, out: Combination, x: number, weight: number): void {
  const { nodes, at } = layout;
  if (nodes.length < 2) return;
  let right = 1;
  while (right < nodes.length - 1 && nodes[right]! < x) right++;
  const share = (x - nodes[right - 1]!) / (nodes[right]! - nodes[right - 1]!);
  if (right > 1) out[at.node + right - 2]! += weight * (1 - share);
  out[at.node + right - 1]! += weight * share;
}

/** Heights of all knives at x for parameter values. */
export function knifeHeights(
  layout: Layout,
  parameters: ArrayLike<number>,
  x: number,
): Float64Array {
  const { at, contrasts, bows, span } = layout;
  const ξ = xi(span, x);
  const q = bowShape(ξ);
  return Float64Array.from(contrasts, (shares) => {
    let sum = 0;
    shares.forEach((share, j) => {
      const bow = bows ? q * parameters[at.bow + j]! : 0;
      sum += share * (parameters[at.height + j]! + ξ * parameters[at.slope + j]! + bow);
    });
    return sum;
  });
}

/** Helmert's contrasts: columns of unit length at right angles to each other and to the mean. */
function helmert(count: number): Float64Array[] {
  return Array.from({ length: count }, (_, k) =>
    Float64Array.from({ length: count - 1 }, (_, j) => {
      const norm = Math.sqrt((j + 1) * (j + 2));
      if (k <= j) return 1 / norm;
      return k === j + 1 ? -(j + 1) / norm : 0;
    }),
  );
}

/** combination · parameters */
export function along(combination: Combination, parameters: ArrayLike<number>): number {
  let sum = 0;
  for (let j = 0; j < combination.length; j++) sum += combination[j]! * parameters[j]!;
  return sum;
}
