import { bowShape, type Span, xi } from '../model/coordinates.js';
import type { HeightSum, MarksRow } from '../model/instruments.js';
import { BOW_SD, FORM_SD } from '../model/priors.js';
import { afterHeights, type HeightsBefore } from './told-heights.js';

/**
 * What is known of how each knife stands: its heights at the front outer adjuster, in the middle and
 * at the back one, three a knife, with the factor of their covariance. Between them a knife is a
 * straight line and a bow.
 */
export interface KnifeShapes {
  readonly span: Span;
  readonly state: HeightsBefore;
}

/** Front, middle and back, in this order. */
export const HEIGHTS_OF_A_KNIFE = 3;

/** No knife in a block stands further from the others than some such distance, mm. */
const ANYWHERE = 0.2;

/** Shapes of which nothing is known but that all knives are in one block, and hardly bowed. */
export function unknownShapes(span: Span, knives: number): KnifeShapes {
  const factors: Float64Array[] = [];
  for (let knife = 0; knife < knives; knife++) {
    const row = (front: number, back: number, bow: number) => {
      const out = new Float64Array(HEIGHTS_OF_A_KNIFE * knives);
      out.set([front, back, bow], HEIGHTS_OF_A_KNIFE * knife);
      return out;
    };
    factors.push(row(ANYWHERE, 0, 0), row(ANYWHERE / 2, ANYWHERE / 2, BOW_SD), row(0, ANYWHERE, 0));
  }
  const heights = factors.map(() => 0);
  return { span, state: { heights, factors, degreesOfFreedom: Infinity } };
}

/** The heights of all knives at an x, each edge straying a little from its shape there. */
export function heightsAt({ span, state }: KnifeShapes, x: number): HeightsBefore {
  const shares = sharesAt(span, x);
  const knives = state.heights.length / HEIGHTS_OF_A_KNIFE;
  const columns = state.factors[0]!.length;
  const heights: number[] = [];
  const factors: Float64Array[] = [];
  for (let knife = 0; knife < knives; knife++) {
    const factor = new Float64Array(columns + knives);
    let height = 0;
    shares.forEach((share, place) => {
      const at = HEIGHTS_OF_A_KNIFE * knife + place;
      height += share * state.heights[at]!;
      for (let j = 0; j < columns; j++) factor[j]! += share * state.factors[at]![j]!;
    });
    factor[columns + knife] = FORM_SD;
    heights.push(height);
    factors.push(factor);
  }
  return { heights, factors, degreesOfFreedom: state.degreesOfFreedom };
}

/**
 * The shapes once marks have told a sum of heights too.
 *
 * @param sd standard deviation of one ridge's position, mm
 */
export function afterMarks({ span, state }: KnifeShapes, row: MarksRow, sd: number): KnifeShapes {
  const shares = sharesAt(span, row.x);
  const terms = row.terms.flatMap(({ knife, weight }) =>
    shares.map((share, place) => ({
      knife: HEIGHTS_OF_A_KNIFE * knife + place,
      weight: weight * share,
    })),
  );
  const told = { ...row, terms, sd: withForm(row, row.scale * sd) };
  return { span, state: afterHeights(state, told) };
}

/** Standard deviation of a sum of heights when the edges' form counts too, mm. */
export function withForm({ terms }: HeightSum, sd: number): number {
  return Math.hypot(sd, FORM_SD * Math.hypot(...terms.map(({ weight }) => weight)));
}

/** The shares of front, middle and back height in the height at x. */
function sharesAt(span: Span, x: number): readonly [number, number, number] {
  const ξ = xi(span, x);
  const bow = bowShape(ξ);
  return [(1 - ξ - bow) / 2, bow, (1 + ξ - bow) / 2];
}
