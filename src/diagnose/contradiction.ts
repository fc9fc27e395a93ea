import { chiSquareCdf } from '../fit/distributions.js';
import { type Estimate, estimate } from '../fit/estimate.js';
import type { FitProblem, Noise } from '../fit/problem.js';
import type { TestCutModel } from '../model/test-cut.js';

/** A disagreement this unlikely by chance is none. */
const CONTRADICTS_BELOW = 0.001;
/** More of an instrument's readings than this, and more than one, are no misreads. */
const MOST_MISREADS = 1 / 5;
/** A knife of which so many of its rows, and more than one, do not fit stands elsewhere. */
const MOST_OF_A_KNIFE = 1 / 2;

/** How instruments agree with the boards. */
export interface Agreement {
  /** Null where they have nothing to compare. */
  readonly pValue: number | null;
  readonly agrees: boolean | null;
}

/** A fit in which only rows of the instruments were looked through for misreads. */
export interface Trial {
  readonly model: TestCutModel;
  readonly problem: FitProblem;
  readonly noises: readonly Noise[];
  readonly fit: Estimate;
  readonly rejected: readonly number[];
  /** Standard deviation of a reading of thickness by the boards alone, mm. */
  readonly readingSd: number;
}

/**
 * Whether what instruments read and what the boards say can both be right: by the sum of squares
 * that fitting them together adds to those of each by itself, against the number of things that both
 * tell. A single reading that does not fit is a misread; several of one knife are a contradiction.
 */
export function agreementOf(trial: Trial): Agreement {
  const { model, problem, noises, fit } = trial;
  if (isWidespread(trial)) return { pValue: 0, agrees: false };
  const isRow = (index: number) => index >= model.readings.length;
  const rows = fit.kept.filter(isRow);
  const boards = fit.kept.filter((index) => !isRow(index));
  const from = [fit.parameters];
  const withoutPriors = { ...problem, priors: [] };
  const alone = estimate(withoutPriors, rows, noises, from);
  // Noise that is little more than a guess must not make a contradiction.
  const known = alone.noise.map((found, kind): Noise => {
    if (kind === 0) return { kind: 'known', sd: trial.readingSd };
    return { kind: 'known', sd: found.sd * (1 + 2 / found.degreesOfFreedom) };
  });
  const together = estimate(problem, fit.kept, known, from);
  const apart = [
    estimate(problem, boards, known, from),
    estimate(withoutPriors, rows, known, from),
  ];
  const shared =
    apart.reduce((sum, { decomposition }) => sum + decomposition.rank, 0) -
    together.decomposition.rank;
  if (shared < 1) return { pValue: null, agrees: null };
  const added =
    together.sumOfSquares - apart.reduce((sum, { sumOfSquares }) => sum + sumOfSquares, 0);
  const pValue = 1 - chiSquareCdf(Math.max(0, added), shared);
  return { pValue, agrees: pValue >= CONTRADICTS_BELOW };
}

function isWidespread({ model, rejected }: Trial): boolean {
  const { readings, rows } = model;
  const wrong = rejected.flatMap((index) => rows[index - readings.length] ?? []);
  if (wrong.length < 2) return false;
  if (wrong.length > MOST_MISREADS * rows.length) return true;
  return model.layout.knives.some((_, knife) => {
    const own = rows.filter(({ knives }) => knives.includes(knife)).length;
    const off = wrong.filter(({ knives }) => knives.includes(knife)).length;
    return off > 1 && off >= MOST_OF_A_KNIFE * own;
  });
}
