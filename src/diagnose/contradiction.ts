import { dot } from '../fit/decomposition.js';
import { chiSquareCdf } from '../fit/distributions.js';
import { type Estimate, estimate, type FoundNoise } from '../fit/estimate.js';
import type { FitProblem, Noise } from '../fit/problem.js';
import { along } from '../model/layout.js';
import { offset } from '../model/quantities.js';
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
  /** Where they differ most, in their own uncertainties; null where no height is told by both. */
  readonly widest: Difference | null;
}

/** How one knife stands against the mean of all by the boards and by the instruments, mm. */
export interface Difference {
  readonly knife: number;
  readonly x: number;
  readonly byBoards: number;
  readonly byInstruments: number;
}

/** A fit in which only rows of the instruments were looked through for misreads. */
export interface Trial {
  readonly model: TestCutModel;
  readonly problem: FitProblem;
  readonly noises: readonly Noise[];
  readonly fit: Estimate;
  readonly rejected: readonly number[];
  /** The noise of a reading of thickness by the boards alone. */
  readonly reading: FoundNoise;
}

/**
 * Whether what instruments read and what the boards say can both be right: by the sum of squares
 * that fitting them together adds to those of each by itself, against the number of things that both
 * tell. A single reading that does not fit is a misread; several of one knife are a contradiction.
 */
export function agreementOf(trial: Trial): Agreement {
  const { model, problem, fit } = trial;
  const isRow = (index: number) => index >= model.readings.length;
  const boards = fit.kept.filter((index) => !isRow(index));
  if (isWidespread(trial)) {
    const all = model.rows.map((_, i) => model.readings.length + i);
    return { pValue: 0, agrees: false, widest: widestOf(apartOf(trial, boards, all), model) };
  }
  const rows = fit.kept.filter(isRow);
  const apart = apartOf(trial, boards, rows);
  const together = estimate(problem, fit.kept, apart.noises, [fit.parameters]);
  const both = [apart.boards, apart.rows];
  const shared =
    both.reduce((sum, { decomposition }) => sum + decomposition.rank, 0) -
    together.decomposition.rank;
  if (shared < 1) return { pValue: null, agrees: null, widest: null };
  const added =
    together.sumOfSquares - both.reduce((sum, { sumOfSquares }) => sum + sumOfSquares, 0);
  const pValue = 1 - chiSquareCdf(Math.max(0, added), shared);
  const agrees = pValue >= CONTRADICTS_BELOW;
  return { pValue, agrees, widest: agrees ? null : widestOf(apart, model) };
}

/** Boards and instruments each fitted by itself, with noise that is taken for known. */
interface Apart {
  readonly noises: readonly Noise[];
  readonly boards: Estimate;
  readonly rows: Estimate;
}

function apartOf(
  { problem, noises, fit, reading }: Trial,
  boards: readonly number[],
  rows: readonly number[],
): Apart {
  const from = [fit.parameters];
  const withoutPriors = { ...problem, priors: [] };
  const alone = estimate(withoutPriors, rows, noises, from);
  // Noise that is little more than a guess must not make a contradiction.
  const known = alone.noise.map((found, kind): Noise => {
    const { sd, degreesOfFreedom } = kind === 0 ? reading : found;
    return { kind: 'known', sd: sd * (1 + 2 / degreesOfFreedom) };
  });
  return {
    noises: known,
    boards: estimate(problem, boards, known, from),
    rows: estimate(withoutPriors, rows, known, from),
  };
}

/** The knife end of which boards and instruments, each by itself, say the most different things. */
function widestOf({ boards, rows }: Apart, { layout }: TestCutModel): Difference | null {
  const all = layout.knives.map((_, knife) => knife);
  let widest: Difference | null = null;
  let most = 0;
  for (const x of [layout.span.front, layout.span.back]) {
    for (const knife of all) {
      const combination = offset(layout, all, knife, x);
      const isTold = [boards, rows].every(({ decomposition }) =>
        decomposition.determines(combination),
      );
      if (!isTold) continue;
      const [byBoards, byInstruments] = [boards, rows].map(({ parameters }) =>
        along(combination, parameters),
      );
      const variance = [boards, rows].reduce((sum, { decomposition }) => {
        const factor = decomposition.factor(combination);
        return sum + dot(factor, factor);
      }, 0);
      const size = Math.abs(byBoards! - byInstruments!) / Math.sqrt(variance);
      if (size <= most) continue;
      most = size;
      widest = { knife, x, byBoards: byBoards!, byInstruments: byInstruments! };
    }
  }
  return widest;
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
