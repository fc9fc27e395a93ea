import type { BoardFit } from '../decide/board-fit.js';
import { Decomposition } from '../fit/decomposition.js';
import type { Estimate } from '../fit/estimate.js';
import { comparableKnives } from '../model/comparable.js';
import type { PriorRow } from '../model/priors.js';
import { stationsOf } from '../model/stations.js';
import type { TestCutModel } from '../model/test-cut.js';

/**
 * Which knives can be compared, by their own readings alone: rows of full boards that the knives
 * foretell are the same under any exchange of knives, so a full rank from them proves nothing. Once
 * every knife is known by itself, those rows tell of bed and boards as any others do.
 */
export function comparison(
  model: TestCutModel,
  { kept, parameters }: Pick<Estimate, 'kept' | 'parameters'>,
): Pick<BoardFit, 'group' | 'determines' | 'determinesWithoutLock' | 'rankOfReadings'> {
  const { layout } = model;
  const rowsOf = (indices: readonly number[]) => (wanted: (prior: PriorRow) => boolean) => {
    const rows = indices.map((index) => model.gradient(parameters, index));
    const priors = model.priors.filter(wanted).map((prior) => prior.combination);
    return Decomposition.of([...rows, ...priors], layout.size);
  };
  const ownRows = kept.filter((index) => !model.seesAll(index));
  const byThemselves = rowsOf(ownRows)(() => true);
  const { span } = layout;
  // A line through one place has no slope, however many readings were taken there.
  const own = (knife: number) =>
    stationsOf(placesOf(model, ownRows, knife), span.back - span.front).length >= 2;
  const group = comparableKnives(layout, own, (combination) =>
    byThemselves.determines(combination),
  );
  const trusted = group.length === layout.knives.length ? kept : ownRows;
  const rows = rowsOf(trusted);
  // These are asked for only of the fit that is kept, and take time.
  const everything = once(() => rows(() => true));
  const withoutLock = once(() => rows((prior) => prior.kind !== 'bed-lock'));
  const readingsAlone = once(() => rows(() => false));
  return {
    group,
    determines: (combination: Float64Array) => everything().determines(combination),
    determinesWithoutLock: (combination: Float64Array) => withoutLock().determines(combination),
    rankOfReadings: () => readingsAlone().rank,
  };
}

/** Where observations tell of one knife by itself. */
function placesOf(
  { readings, rows, layout }: TestCutModel,
  indices: readonly number[],
  knife: number,
): { readonly x: number }[] {
  const id = layout.knives[knife];
  return indices.flatMap((index): { readonly x: number }[] => {
    const reading = readings[index];
    const row = rows[index - readings.length];
    const isOwn = reading ? reading.knife === id : row!.knives.includes(knife);
    return isOwn ? [reading ?? row!] : [];
  });
}

function once<T>(make: () => T): () => T {
  let made: T | undefined;
  return () => {
    made ??= make();
    return made;
  };
}
