import type { Result } from '../../record/result.js';
import type { Paint } from '../paint.js';
import type { Figures } from './figures.js';
import { section, table } from './layout.js';

/** What each move of the earlier result did. */
export function since(result: Result, figures: Figures, paint: Paint): string[] {
  if (!result.since || result.since.length === 0) return [];
  const rows = result.since.map(({ knife, end, x, asked, got, u, response }) => [
    `knife ${knife}, ${end ?? `x ${figures.position(x)}`}`,
    figures.height(asked),
    got === null || u === null ? 'not known' : figures.measured(got, 2 * u),
    response === null ? '' : response.toFixed(2).replace('-', '−'),
  ]);
  const lines = table([['move', 'asked', `got (${figures.unit})`, 'got/asked'], ...rows], '  ');
  lines.push('  measured against the knives not moved at that end; ± is twice the standard');
  lines.push('  uncertainty; not known where every knife there was moved');
  return section(paint.strong('What the moves did'), lines);
}
