import type { InstrumentStanding, Result } from '../../record/result.js';
import type { Paint } from '../paint.js';
import type { Figures } from './figures.js';
import { section, wrap } from './layout.js';

/** What people call each instrument. */
export const INSTRUMENT_NAMES = {
  gauge: 'gauge',
  carry: 'carried rule',
  marks: 'knife marks',
} as const;

/** What is written down of each. */
const ROWS = { gauge: 'readings', carry: 'carries', marks: 'ridges' } as const;

/** What other instruments brought: how well they read, whether they agree, and what they set apart. */
export function instruments(result: Result, figures: Figures, paint: Paint): string[] {
  const lines = result.instruments.flatMap((instrument) => [
    ...wrap(`${sentenceOf(instrument, figures)}.`, '  '),
    ...setAside(instrument, figures),
  ]);
  return section(paint.strong('Other instruments'), [...lines, ...body(result, figures)]);
}

function sentenceOf(instrument: InstrumentStanding, figures: Figures): string {
  const { kind, total, used, sd, agrees } = instrument;
  const [name, rows] = [INSTRUMENT_NAMES[kind], ROWS[kind]];
  const count = `${name}: ${used} of ${total} ${rows} in the fit`;
  if (used === 0) {
    const why = agrees === false ? 'they contradict the boards' : 'see the notices';
    return `${name}: ${total} ${rows}, none in the fit: ${why}`;
  }
  const noise = sd === null ? '' : `, each good to ${figures.size(sd)} (standard deviation)`;
  const verdict =
    agrees === null
      ? '; the boards have nothing to compare with'
      : '; in agreement with the boards';
  return `${count}${noise}${verdict}`;
}

function setAside({ setAside: aside }: InstrumentStanding, figures: Figures): string[] {
  return aside.flatMap(({ file, line, knife, x, value, residual, reason }) => {
    const whose = knife === null ? 'ridge' : `knife ${knife}`;
    const off = residual === null ? '' : `, ${figures.height(residual)} off`;
    const at = `${whose}, x ${figures.position(x)}`;
    return wrap(`${file}:${line}: ${figures.size(value)} at ${at}${off}: ${reason}`, '    ');
  });
}

/** A tilted bed told from knives on a slant, by the block's own body. */
function body(result: Result, figures: Figures): string[] {
  if (!result.body) return [];
  const { bedTilt, slant } = result.body;
  if (bedTilt.value === null || slant.value === null) return [];
  const back = result.knives[0]!.ends[1]!.name;
  return wrap(
    `Against the block's body: the bed has ${figures.measured(bedTilt.value, bedTilt.U)} ${figures.unit} more gap at the ${back}, ` +
      `and the knives stand ${figures.measured(slant.value, slant.U)} ${figures.unit} further out there.`,
    '  ',
  );
}
