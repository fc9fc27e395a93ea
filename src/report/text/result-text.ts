import type { Machine } from '../../machine/machine.js';
import type { Result } from '../../record/result.js';
import { CAUTIONS } from '../cautions.js';
import type { Paint } from '../paint.js';
import { evidence } from './evidence.js';
import { figuresIn } from './figures.js';
import { finish } from './finish.js';
import { headline } from './headline.js';
import { instruments } from './instruments.js';
import { section, wrap } from './layout.js';
import { moves } from './moves.js';
import { openQuestions, setAside } from './open.js';
import { since } from './since.js';
import { standing } from './standing.js';

/**
 * A result for people, at most 80 columns wide: what is wrong first, then how sure that is, what to
 * turn, what to expect, what was set aside, what is not known, and the cautions.
 */
export function resultText(
  result: Result,
  machine: Machine,
  unit: 'mm' | 'in',
  paint: Paint,
): string {
  const figures = figuresIn(unit);
  const lines = [
    ...wrap(headline(result, figures, paint)),
    ...fullBoardsOnly(result, paint),
    ...standing(result, figures, paint),
    ...finish(result, figures, paint),
    ...since(result, figures, paint),
    ...moves(result, machine, figures, paint),
    ...evidence(result, figures, paint),
    ...instruments(result, figures, paint),
    ...setAside(result, figures, paint),
    ...openQuestions(result, paint),
    ...section(
      paint.strong('Cautions'),
      CAUTIONS.flatMap((caution) => wrap(caution, '  - ')),
    ),
  ];
  return `${lines.join('\n')}\n`;
}

/** What boards under power show and do not show, and whether it is worth going deeper. */
function fullBoardsOnly(result: Result, paint: Paint): string[] {
  if (result.fitted.length === 0 || result.fitted.some(({ cut }) => cut !== 'full')) return [];
  // Other instruments may tell what these boards do not.
  if (result.knives.some(({ ends }) => ends.some(({ offset }) => offset !== null))) return [];
  const { verdict } = result.board;
  const deeper =
    verdict === 'inside'
      ? 'Boards are parallel, so unless the finish has gone a block that was set right is best left alone.'
      : result.board.taper === null
        ? 'They were not measured near both ends: plane one near the front and one near the back outer adjuster.'
        : verdict === 'outside'
          ? 'It is worth going deeper, once nothing is loose: check the bed lock, the bed slides and every wedge screw first.'
          : 'Measure these boards at a few more places along before going deeper.';
  return section(
    paint.strong('What these boards show'),
    wrap(
      'Boards cut under power by all knives show whether they come out parallel. They do not show ' +
        'which knife stands proud or low, nor whether bed or knives are on a slant. ' +
        deeper,
      '  ',
    ),
  );
}
