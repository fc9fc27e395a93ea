import { contactLevel } from './contact.js';
import {
  addBed,
  addKnife,
  addNodes,
  addReference,
  along,
  type Combination,
  knifeHeights,
  type Layout,
} from './layout.js';
import { addPlaned, type TestCutModel } from './test-cut.js';

/** Outside the stations full boards are followed by this share of the span at most. */
const EXTRAPOLATE = 0.25;

/** A quantity as a combination of parameters, with its value where it is not linear in them. */
export interface Quantity {
  readonly value: number;
  readonly combination: Combination;
}

/** How much higher one knife stands than another at x. */
export function difference(layout: Layout, a: number, b: number, x: number): Combination {
  const out = new Float64Array(layout.size);
  addKnife(layout, out, a, x, 1);
  addKnife(layout, out, b, x, -1);
  return out;
}

/** How far a knife stands from the mean of a group of knives at x. */
export function offset(
  layout: Layout,
  group: readonly number[],
  knife: number,
  x: number,
): Combination {
  const out = new Float64Array(layout.size);
  addKnife(layout, out, knife, x, 1);
  for (const member of group) addKnife(layout, out, member, x, -1 / group.length);
  return out;
}

/** How far a knife's middle stands from the line through its ends, against the mean of a group. */
export function bow(layout: Layout, group: readonly number[], knife: number): Combination {
  const { front, back } = layout.span;
  const out = offset(layout, group, knife, (front + back) / 2);
  const ends = [front, back].map((x) => offset(layout, group, knife, x));
  return out.map((value, j) => value - (ends[0]![j]! + ends[1]![j]!) / 2);
}

/** How much more gap there is at the back between the bed and the mean of a group than at the front. */
export function bedTilt(layout: Layout, group: readonly number[]): Combination {
  const out = new Float64Array(layout.size);
  const { front, back } = layout.span;
  addBed(layout, out, back, 1);
  addBed(layout, out, front, -1);
  for (const member of group) {
    addKnife(layout, out, member, back, -1 / group.length);
    addKnife(layout, out, member, front, 1 / group.length);
  }
  return out;
}

/**
 * Bed and knives against the block's body: how much more gap there is from the bed to the body at the
 * back than at the front, and how much further the mean of a group stands out of the body there. Null
 * where no gauge was held to the body at two places.
 */
export function bodyCombinations(
  layout: Layout,
  group: readonly number[],
): { readonly bedTilt: Combination; readonly slant: Combination } | null {
  if (!layout.references.includes('body slope')) return null;
  const slant = new Float64Array(layout.size);
  addReference(layout, slant, 'body slope', 1);
  const { front, back } = layout.span;
  for (const member of group) {
    addKnife(layout, slant, member, back, 1 / group.length);
    addKnife(layout, slant, member, front, -1 / group.length);
  }
  const tilt = bedTilt(layout, group);
  // The gap to the body is the gap to the knives and what those stand out of it.
  return { bedTilt: tilt.map((value, j) => value + slant[j]!), slant };
}

/** Thickness in the middle, cut by the mean of a group, less the line through both ends. */
export function crown(layout: Layout, group: readonly number[]): Combination {
  const out = new Float64Array(layout.size);
  const { front, back } = layout.span;
  for (const [x, weight] of [
    [(front + back) / 2, 1] as const,
    [front, -0.5] as const,
    [back, -0.5] as const,
  ]) {
    addBed(layout, out, x, weight);
    for (const member of group) addKnife(layout, out, member, x, -weight / group.length);
  }
  return out;
}

/**
 * How much thicker a full board comes out at the back outer adjuster than at the front one: from
 * the full boards themselves where their level is free, from bed and knives where those foretell it.
 * Null where the stations of full boards do not reach the adjusters.
 */
export function taper(model: TestCutModel, parameters: Float64Array): Quantity | null {
  const { layout } = model;
  const { front, back } = layout.span;
  const combination = new Float64Array(layout.size);
  if (model.fullCut === 'free') {
    const { nodes } = layout;
    const margin = EXTRAPOLATE * (back - front);
    if (nodes.length < 2 || nodes[0]! > front + margin || nodes.at(-1)! < back - margin)
      return null;
    addNodes(layout, combination, back, 1);
    addNodes(layout, combination, front, -1);
    return { combination, value: along(combination, parameters) };
  }
  addBed(layout, combination, back, 1);
  addBed(layout, combination, front, -1);
  const planed = (x: number) =>
    contactLevel(knifeHeights(layout, parameters, x), model.feed, model.contact).level;
  const value = along(combination, parameters) - planed(back) + planed(front);
  addPlaned(model, parameters, back, combination, -1);
  addPlaned(model, parameters, front, combination, 1);
  return { combination, value };
}
