import type { Result, Verdict } from '../../record/result.js';
import type { Paint } from '../paint.js';
import type { Figures } from './figures.js';
import { section, table, wrap } from './layout.js';

/** Knives and bed with their uncertainty and verdicts. */
export function standing(result: Result, figures: Figures, paint: Paint): string[] {
  const [front, back] = result.knives[0]!.ends;
  const { unit, size } = figures;
  const known = result.knives.some(({ ends }) => ends.some(({ offset }) => offset !== null));
  const hasMiddle = result.knives.some(({ middle }) => middle.value !== null);
  const rows = result.knives.map(({ id, middle, ends }) => {
    const cells = ends.flatMap(({ offset, U, verdict }) => [
      figures.measured(offset, U),
      offset === null ? '' : verdict,
    ]);
    return [id, ...cells, ...(hasMiddle ? [figures.measured(middle.value, middle.U)] : [])];
  });
  const head = [
    'knife',
    `${front!.name}, x ${figures.position(front!.x)}`,
    '',
    `${back!.name}, x ${figures.position(back!.x)}`,
    '',
    ...(hasMiddle ? ['in the middle'] : []),
  ];
  const heading =
    `Knives, ${unit} from the mean of all (+ proud, − low); ends inside ` +
    `± ${size(result.tolerance.knife)}`;
  const lines = known
    ? table([head, ...rows], '  ').map((line) => paintVerdicts(line, paint))
    : ['  no height is known: see below why'];
  return [
    ...section(paint.strong(heading), lines),
    ...section(paint.strong('Bed and boards'), bedLines(result, figures, paint)),
    ...wrap(
      'The ± behind a figure is its expanded uncertainty: 95 times in 100 the truth is within it. ' +
        'Inside and outside: at least 95 % sure; undecided: the readings cannot tell.',
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
    row('crown, bed to mean knife, + thicker in the middle', crown.value, crown.U, ''),
  ];
  const lines = table(rows, '  ').map((line) => paintVerdicts(line, paint));
  const span = figures.position(back!.x - front!.x);
  const unit = figures.unit === 'mm' ? 'mm' : 'inches';
  return [...lines, `  ${unit}, over the ${span} between the outer adjusters`];
}

function paintVerdicts(line: string, paint: Paint): string {
  return line
    .replace(/\boutside\b/g, (word) => paint.bad(word))
    .replace(/\binside\b/g, (word) => paint.good(word))
    .replace(/\bundecided\b/g, (word) => paint.doubtful(word));
}
