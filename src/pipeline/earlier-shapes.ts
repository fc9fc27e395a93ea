import type { BoardFit } from '../decide/board-fit.js';
import type { KnifeShapes } from '../decide/knife-shapes.js';
import { semidefiniteFactor } from '../fit/semidefinite.js';
import type { Machine } from '../machine/machine.js';
import { spanOf } from '../model/coordinates.js';
import { addKnife, along } from '../model/layout.js';
import { BOW_SD } from '../model/priors.js';
import type { Result } from '../record/result.js';
import { covarianceOf } from './result-variance.js';

/**
 * How the knives stand as a result tells it; null where it does not tell one of them. A result without
 * middles had too few stations for bows: they are then what they are beforehand.
 */
export function shapesOfResult(machine: Machine, result: Result): KnifeShapes | null {
  const ids = machine.block.knives;
  const knives = ids.map((id) => result.knives.find((knife) => knife.id === id));
  const hasMiddles = knives.every((knife) => (knife?.middle?.value ?? null) !== null);
  const named = knives.flatMap((knife, k) => {
    const ends = knife?.ends.map(({ name, offset, u }) => ({ name, value: offset, u })) ?? [];
    const middle = { name: 'middle', value: knife?.middle?.value ?? null, u: knife?.middle?.u };
    const places = hasMiddles ? [ends[0], middle, ends[1]] : [ends[0], ends[1]];
    return places.map((place) => ({
      name: `${ids[k]} ${place?.name}`,
      value: place?.value ?? null,
      u: place?.u ?? 0,
    }));
  });
  const values = named.map(({ value }) => value).filter((value) => value !== null);
  if (values.length < named.length) return null;
  const covariance = named.map((a) => named.map((b) => covarianceOf(result, a, b)));
  const factors = semidefiniteFactor(covariance);
  const degreesOfFreedom = result.fit?.readingSdFreedom ?? Infinity;
  const state = { heights: values, factors, degreesOfFreedom };
  return { span: spanOf(machine), state: hasMiddles ? state : withMiddles(state) };
}

/** Ends alone, with a middle between them that a bow may lift. */
function withMiddles({ heights, factors, degreesOfFreedom }: KnifeShapes['state']) {
  const knives = heights.length / 2;
  const columns = factors[0]!.length;
  const wider = (row: (j: number) => number, bow: number | null) =>
    new Float64Array(columns + knives).map((_, j) =>
      j < columns ? row(j) : j - columns === bow ? BOW_SD : 0,
    );
  const all = Array.from({ length: knives }, (_, k) => {
    const [front, back] = [factors[2 * k]!, factors[2 * k + 1]!];
    const middle = (j: number) => (front[j]! + back[j]!) / 2;
    return {
      heights: [heights[2 * k]!, (heights[2 * k]! + heights[2 * k + 1]!) / 2, heights[2 * k + 1]!],
      factors: [wider((j) => front[j]!, null), wider(middle, k), wider((j) => back[j]!, null)],
    };
  });
  return {
    heights: all.flatMap((knife) => knife.heights),
    factors: all.flatMap((knife) => knife.factors),
    degreesOfFreedom,
  };
}

/** How the knives stand by a fit; null where some knife is not known. */
export function shapesOfFit({ model, robust, group }: BoardFit): KnifeShapes | null {
  const { layout } = model;
  if (group.length < layout.knives.length) return null;
  const { fit } = robust;
  const { front, back } = layout.span;
  const combinations = layout.knives.flatMap((_, knife) =>
    [front, (front + back) / 2, back].map((x) => {
      const combination = new Float64Array(layout.size);
      addKnife(layout, combination, knife, x, 1);
      return combination;
    }),
  );
  return {
    span: layout.span,
    state: {
      heights: combinations.map((combination) => along(combination, fit.parameters)),
      factors: combinations.map((combination) => fit.decomposition.factor(combination)),
      degreesOfFreedom: fit.noise[0]!.degreesOfFreedom,
    },
  };
}
