import type { PlaceOfReading, Result } from '../../record/result.js';
import type { Paint } from '../paint.js';
import type { Figures } from './figures.js';
import { section, wrap } from './layout.js';

/** Readings named at most; the JSON has all. */
const NAMED_AT_MOST = 3;

/** How far the answer can be trusted: full boards, single readings it hangs on, what would narrow it. */
export function evidence(result: Result, figures: Figures, paint: Paint): string[] {
  const { fullBoards, turning, narrowing } = result.evidence;
  const lines: string[] = [];
  const { residualSd } = result.fit;
  if (residualSd !== null) {
    lines.push(
      ...wrap(
        `Readings scatter by ${figures.size(residualSd)} (standard deviation) about the fit.`,
        '  ',
      ),
    );
  }
  if (fullBoards) {
    const agree = fullBoards.agree ? 'agrees with' : 'does not agree with';
    lines.push(
      ...wrap(
        `The full board ${agree} what the knives' own heights foretell of it: ` +
          `${figures.size(fullBoards.rms)} apart (root mean square).`,
        '  ',
      ),
    );
  }
  if (turning.length > 0) {
    const named = turning
      .slice(0, NAMED_AT_MOST)
      .map((reading) => `${where(reading)} (${reading.quantity} would be ${reading.to})`);
    const more = turning.length - named.length;
    const rest = more > 0 ? `; and ${more} more` : '';
    lines.push(
      ...wrap(`A verdict hangs on a single reading: without ${named.join('; ')}${rest}.`, '  '),
    );
  }
  if (narrowing) {
    lines.push(
      ...wrap(
        `One more reading would tell most on ${narrowing.knife === 'all' ? 'a full board' : `a place that knife ${narrowing.knife} cut`} ` +
          `at x ${figures.position(narrowing.x)} (for ${narrowing.quantity}).`,
        '  ',
      ),
    );
  }
  return section(paint.strong('How far to trust this'), lines);
}

function where({ file, line }: PlaceOfReading): string {
  return `${file}:${line}`;
}
