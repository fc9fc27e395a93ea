import type { Result } from '../../record/result.js';
import type { Paint } from '../paint.js';
import type { Figures } from './figures.js';
import { section, wrap } from './layout.js';

/** Which knives leave marks at this feed, and how near each other all would have to be. */
export function finish(result: Result, figures: Figures, paint: Paint): string[] {
  const { showing, allWithin, stations } = result.finish;
  if (stations.length === 0) return [];
  const count = result.knives.length;
  const where = stations.every(({ showing: here }) => here.join() === showing.join())
    ? ''
    : `: ${stations.map(({ x, showing: here }) => `${named(here)} at x ${figures.position(x)}`).join(', ')}`;
  const which =
    showing.length === count
      ? where === ''
        ? 'every knife leaves'
        : 'every knife somewhere leaves'
      : `only ${named(showing)} leave${showing.length === 1 ? 's' : ''}`;
  const widest = Math.max(...result.knives.flatMap(({ ends }) => ends.map(({ U }) => U ?? 0)));
  const doubt =
    allWithin !== null && count > 1 && widest > allWithin
      ? ' Their ± is wider than what decides it, so take this as likely, not as sure.'
      : '';
  const lines = wrap(
    allWithin === null
      ? `The machine file gives no feed and speed; the highest is ${named(showing)}${where}.`
      : `By these estimates ${which} marks at this feed${where}.${doubt}`,
    '  ',
  );
  if (allWithin !== null && count > 1) {
    lines.push(
      ...wrap(
        `For ${count === 2 ? 'both' : `all ${count}`} to leave marks everywhere they would have to be within ${fine(allWithin, figures)} of each ` +
          'other, far finer than the tolerance: knives inside it may well leave the finish of one.',
        '  ',
      ),
    );
  }
  return section(paint.strong('Finish'), lines);
}

function named(ids: readonly string[]): string {
  if (ids.length === 1) return `knife ${ids[0]}`;
  return `knives ${ids.slice(0, -1).join(', ')} and ${ids.at(-1)}`;
}

/** One more digit below a hundredth of a millimetre, so that the figure is not all zeros. */
function fine(mm: number, figures: Figures): string {
  return mm < 0.01 && figures.unit === 'mm' ? `${mm.toFixed(4)} mm` : figures.size(mm);
}
