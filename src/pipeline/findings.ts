import type { BoardFit } from '../decide/board-fit.js';
import type { Standing } from '../decide/standing.js';
import type { Disagreement } from '../diagnose/disagreement.js';
import { nextBoard } from '../diagnose/open-questions.js';
import { proudButNotAlone } from '../diagnose/proud.js';
import type { Machine } from '../machine/machine.js';
import type { Notice } from '../notices/notice.js';
import type { Evidence } from '../record/result.js';
import type { ReadingLists } from './result-parts.js';

interface Findings {
  readonly machine: Machine;
  readonly boards: BoardFit;
  readonly standing: Standing;
  readonly lists: ReadingLists;
  readonly disagreement: Disagreement | null;
  /** How much boards differ in height, where that is more than the lock allows, mm. */
  readonly foundLock: number | null;
  readonly evidence: Evidence;
}

/** What the fit came upon that its user has to know. */
export function findings(found: Findings): Notice[] {
  return [
    ...found.machine.assumed.map(
      ({ key, value }): Notice => ({
        code: 'assumed',
        severity: 'info',
        message: `${key} is not in the machine file: ${value}`,
      }),
    ),
    convention(found.boards),
    ...setAsideNotices(found.lists),
    ...pairNotices(found.boards),
    ...disagreementNotices(found.machine, found.disagreement),
    ...lockNotices(found),
    ...fullBoardNotices(found.evidence),
    ...proudButNotAlone(found.machine, found.boards.model, found.standing.offsets),
    ...endingNotices(found.boards),
  ];
}

function convention({ model }: BoardFit): Notice {
  const bow = model.layout.bows ? ', a common bow as crown' : '';
  return {
    code: 'convention',
    severity: 'info',
    message:
      'offsets are from the mean of the knives at each place: no board can tell a common height of ' +
      `all knives from the gap; a common slope counts as bed tilt${bow}`,
  };
}

function setAsideNotices({ readings }: ReadingLists): Notice[] {
  return readings.setAside.map(
    ({ file, line, board, knife, x, y, thickness, residual, ...why }) => {
      const where = `board ${board}, knife ${knife}, x ${x.toFixed(0)}, y ${y.toFixed(0)}`;
      const off =
        residual === null
          ? ''
          : `, ${Math.abs(residual).toFixed(3)} mm ${residual > 0 ? 'thicker' : 'thinner'} than the others say`;
      const likely = why.likely ? `; likeliest: ${why.likely}` : '';
      return {
        code: why.reason === 'excluded' ? 'excluded' : 'set-aside',
        severity: why.reason === 'excluded' ? 'info' : 'warning',
        message: `set aside (${why.reason}): ${thickness} mm at ${where}${off}${likely}`,
        file,
        line,
        hint:
          why.reason === 'excluded'
            ? 'left out because --exclude says so'
            : `measure that place again; --use ${file}:${line} keeps the reading`,
      };
    },
  );
}

function pairNotices({ model, robust }: BoardFit): Notice[] {
  return robust.ambiguous.map(([a, b]) => {
    const [one, other] = [model.readings[a]!, model.readings[b]!];
    return {
      code: 'one-of-two-is-wrong',
      severity: 'warning',
      message:
        `one of two readings is wrong, and nothing tells which: ${one.thickness} mm here or ` +
        `${other.thickness} mm at ${other.file}:${other.line}; both are kept and widen the answer`,
      file: one.file,
      line: one.line,
      hint: 'measure both places again, or leave one out with --exclude',
    };
  });
}

function disagreementNotices(machine: Machine, disagreement: Disagreement | null): Notice[] {
  if (!disagreement) return [];
  const why =
    disagreement.kind === 'misreads'
      ? `${disagreement.misreads} of the ${disagreement.readings} readings of board ${disagreement.board} do not fit`
      : `readings of the same knife scatter by ${disagreement.scatter.toFixed(3)} mm, where the instrument lets expect ${disagreement.expected.toFixed(3)} mm`;
  return [
    {
      code: 'boards-disagree',
      severity: 'warning',
      message: `the boards and their description disagree: ${why}; no heights and no moves are given`,
      hint:
        'check which knife cut which place, that no boards were exchanged, the units, and the machine file; ' +
        'leave out what is known to be wrong with --exclude, or cut again with the knives numbered on block and wood',
    },
    nextBoard(machine),
  ];
}

function lockNotices({ machine, standing, foundLock }: Findings): Notice[] {
  const notices: Notice[] = [];
  const leaning = [...standing.offsets.flat(), standing.tilt, standing.taper];
  if (leaning.some((known) => known?.restsOnBedLock)) {
    const offsets = standing.offsets.flat().some((known) => known?.restsOnBedLock);
    const what = [
      offsets ? 'offsets between knives' : '',
      standing.tilt?.restsOnBedLock ? 'the bed tilt' : '',
      standing.taper?.restsOnBedLock ? 'the taper' : '',
    ].filter((text) => text !== '');
    notices.push({
      code: 'rests-on-bed-lock',
      severity: 'info',
      message: `resting on the locked bed staying within ${machine.bed.repeatability} mm (standard deviation) from board to board: ${what.join(', ')}; the ± allow for that`,
      hint: 'one wide board across all places does without',
    });
  }
  if (foundLock !== null) {
    notices.push({
      code: 'bed-lock-worse',
      severity: 'warning',
      message:
        `boards differ in height by ${foundLock.toFixed(3)} mm (standard deviation), more than the ` +
        `${machine.bed.repeatability} mm of the machine file; the ± were widened accordingly`,
      hint: 'check the bed lock, the gibs, and that each strip lay flat',
    });
  }
  return notices;
}

function fullBoardNotices({ fullBoards }: Evidence): Notice[] {
  if (!fullBoards || fullBoards.agree) return [];
  return [
    {
      code: 'full-board-disagrees',
      severity: 'warning',
      message:
        `the full board differs from what the knives' own heights foretell by ` +
        `${fullBoards.rms.toFixed(3)} mm (root mean square), more than chance`,
      hint: 'check that knives and boards carry the right numbers, and that nothing moved between the cuts',
    },
  ];
}

function endingNotices({ robust }: BoardFit): Notice[] {
  const { ending } = robust.fit;
  if (ending !== 'too-many-steps' && ending !== 'not-finite') return [];
  return [
    {
      code: 'fit-did-not-settle',
      severity: 'warning',
      message: `the fit did not settle (${ending}); take its figures with care`,
      hint: 'measure the knives alone at more places',
    },
  ];
}
