import type { Result, Verdict } from '../../record/result.js';
import type { Paint } from '../paint.js';
import type { Figures } from './figures.js';
import { section, table, wrap } from './layout.js';

/** Knives and bed with their uncertainty and verdicts. */
export function standing(result: Result, figures: Figures, paint: Paint): string[] {
  const [front, back] = result.knives[0]!.ends;
  const { unit, size } = figures;
  const rows = result.knives.map(({ id, ends }) => [
    id,
    ...ends.flatMap(({ offset, U, verdict }) => [figures.measured(offset, U), verdict]),
  ]);
  const head = [
    'knife',
    `${front!.name}, x ${figures.position(front!.x)}`,
    '',
    `${back!.name}, x ${figures.position(back!.x)}`,
    '',
  ];
  const heading =
    `Knives, ${unit} from the mean of all (+ proud, − low); each end inside ` +
    `± ${size(result.tolerance.knife)}`;
  const lines = table([head, ...rows], '  ').map((line) => paintVerdicts(line, paint));
  return [
    ...section(paint.strong(heading), lines),
    ...section(paint.strong('Bed and boards'), bedLines(result, figures, paint)),
    ...wrap(
      '± is the expanded uncertainty: it covers the true value in 95 of 100 cases. Inside and ' +
        'outside are said from 95 % probability; between them the readings do not decide.',
      '  ',
    ),
  ];
}

function bedLines(result: Result, figures: Figures, paint: Paint): string[] {
  const [front, back] = result.knives[0]!.ends;
  const { bed, board, crown, tolerance } = result;
  const limit = `(± ${figures.size(tolerance.bed)})`;
  const row = (what: string, value: number | null, U: number | null, verdict: Verdict | '') =>
    [what, figures.measured(value, U), value === null ? '' : verdict] as const;
  const rows = [
    row(`bed tilt, more gap at the ${back!.name} ${limit}`, bed.tilt, bed.U, bed.verdict),
    row(`board taper, thicker at the ${back!.name} ${limit}`, board.taper, board.U, board.verdict),
    row('crown, thicker in the middle', crown.value, crown.U, ''),
  ];
  const lines = table(rows, '  ').map((line) => paintVerdicts(line, paint));
  const span = figures.position(back!.x - front!.x);
  return [...lines, `  in ${figures.unit} over the ${span} between the outer adjusters`];
}

function paintVerdicts(line: string, paint: Paint): string {
  return line
    .replace(/\boutside\b/g, (word) => paint.bad(word))
    .replace(/\binside\b/g, (word) => paint.good(word))
    .replace(/\bundecided\b/g, (word) => paint.doubtful(word));
}
