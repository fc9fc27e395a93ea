import { type Machine, outerAdjusters } from '../machine/machine.js';

/** Position across, scaled: −1 at the front outer adjuster, +1 at the back one. */
export interface Span {
  readonly front: number;
  readonly back: number;
}

/** The span between the outer adjusters of a machine. */
export function spanOf(machine: Machine): Span {
  const [front, back] = outerAdjusters(machine);
  return { front, back };
}

/** ξ of an x in mm. */
export function xi({ front, back }: Span, x: number): number {
  return (2 * x - front - back) / (back - front);
}

/** Height at x of a straight edge that stands at given heights at the outer adjusters. */
export function straightAt(span: Span, x: number, front: number, back: number): number {
  return front + ((xi(span, x) + 1) / 2) * (back - front);
}

/** The bow's shape q(ξ) = 1 − ξ²: 1 in the middle, 0 at the outer adjusters. */
export function bowShape(ξ: number): number {
  return 1 - ξ * ξ;
}
