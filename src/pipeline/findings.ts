import type { BoardFit } from '../decide/board-fit.js';
import { verdict } from '../decide/conformity.js';
import { conformity, type Known, type Standing } from '../decide/standing.js';
import type { Disagreement } from '../diagnose/disagreement.js';
import { offBottomSkew } from '../diagnose/off-bottom.js';
import { nextBoard } from '../diagnose/open-questions.js';
import { proudButNotAlone } from '../diagnose/proud.js';
import type { Machine } from '../machine/machine.js';
import type { Notice } from '../notices/notice.js';
import type { Evidence } from '../record/result.js';
import type { Spoken } from '../units/spoken.js';
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
  readonly spoken: Spoken;
}

/** What the fit came upon that its user has to know. */
export function findings(found: Findings): Notice[] {
  return [
    ...assumedNotices(found.machine),
    convention(found.boards),
    ...setAsideNotices(found.lists, found.spoken),
    ...pairNotices(found.boards, found.spoken),
    ...disagreementNotices(found),
    ...lockNotices(found),
    ...offBottomNotices(found),
    ...fullBoardNotices(found),
    ...bowNotices(found),
    ...bedNotices(found),
    ...proudButNotAlone(found.machine, found.boards.model, found.standing.offsets, found.spoken),
    ...endingNotices(found.boards),
  ];
}

/** What the machine file leaves out, and what is taken for it. */
export function assumedNotices({ assumed }: Machine): Notice[] {
  return assumed.map(({ key, value }) => ({
    code: 'assumed',
    severity: 'info',
    message: `${key} is not in the machine file: ${value}`,
  }));
}

/** What no board tells, and what is taken for it. */
export function convention({ model }: BoardFit): Notice {
  const bow = model.layout.bows ? ', a common bow as crown' : '';
  return {
    code: 'convention',
    severity: 'info',
    message:
      'offsets are from the mean of the knives at each place: no board can tell a common height of ' +
      `all knives from the gap; a common slope counts as bed tilt${bow}`,
  };
}

function setAsideNotices({ readings }: ReadingLists, spoken: Spoken): Notice[] {
  return readings.setAside.map(
    ({ file, line, board, knife, x, y, thickness, residual, ...why }) => {
      const where = `board ${board}, knife ${knife}, x ${spoken.place(x)}, y ${spoken.place(y)}`;
      const off =
        residual === null
          ? ''
          : `, ${spoken.size(Math.abs(residual))} ${residual > 0 ? 'thicker' : 'thinner'} than the others say`;
      const likely = why.likely ? `; likeliest: ${why.likely}` : '';
      return {
        code: why.reason === 'excluded' ? 'excluded' : 'set-aside',
        severity: why.reason === 'excluded' ? 'info' : 'warning',
        message: `set aside (${why.reason}): ${spoken.thickness(thickness)} at ${where}${off}${likely}`,
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

function pairNotices({ model, robust }: BoardFit, spoken: Spoken): Notice[] {
  return robust.ambiguous.map(([a, b]) => {
    const [one, other] = [writtenAt(model, a), writtenAt(model, b)];
    const rival = other
      ? `${spoken.thickness(other.value)} at ${other.file}:${other.line}`
      : 'what the knife marks tell';
    return {
      code: 'one-of-two-is-wrong',
      severity: 'warning',
      message:
        `one of two is wrong, and nothing tells which: ${one ? `${spoken.thickness(one.value)} here` : 'the knife marks'} or ` +
        `${rival}; both are kept and widen the answer`,
      ...(one ? { file: one.file, line: one.line } : {}),
      hint: 'measure both places again, or leave one out with --exclude',
    };
  });
}

/** What was written down of an observation, and where; null for knife marks, which are many lines. */
function writtenAt({ readings, rows }: BoardFit['model'], index: number) {
  const reading = readings[index];
  if (reading) return { file: reading.file, line: reading.line, value: reading.thickness };
  const { source } = rows[index - readings.length]!;
  if (!source) return null;
  const value = 'reading' in source ? source.reading : source.carry;
  return { file: source.file, line: source.line, value };
}

function disagreementNotices({ machine, disagreement, spoken }: Findings): Notice[] {
  if (!disagreement) return [];
  const why =
    disagreement.kind === 'misreads'
      ? `${disagreement.misreads} of the ${disagreement.readings} readings of board ${disagreement.board} do not fit`
      : `readings of the same knife scatter by ${spoken.size(disagreement.scatter)}, where the instrument lets expect ${spoken.size(disagreement.expected)}`;
  return [
    {
      code: 'boards-disagree',
      severity: 'warning',
      message: `the boards and their description disagree: ${why}; no heights and no moves are given`,
      hint:
        'check which knife cut which place, that no boards were exchanged, the units, and the machine file; ' +
        'leave out what is known to be wrong with --exclude, or cut again with the knives numbered on block and wood',
    },
    nextBoard(machine, spoken),
  ];
}

function lockNotices({ machine, standing, foundLock, spoken }: Findings): Notice[] {
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
      message: `resting on the locked bed staying within ${spoken.size(foundLock ?? machine.bed.repeatability ?? 0)} (standard deviation) from board to board: ${what.join(', ')}; the ± allow for that`,
      hint: 'one wide board across all places does without',
    });
  }
  if (foundLock !== null) {
    notices.push({
      code: 'bed-lock-worse',
      severity: 'warning',
      message:
        `boards differ in height by ${spoken.size(foundLock)} (standard deviation), more than the ` +
        `${spoken.size(machine.bed.repeatability ?? 0)} of the machine file; the ± were widened accordingly`,
      hint: 'check the bed lock, the bed slides, and that each strip lay flat',
    });
  }
  return notices;
}

/** Readings taken beside the bottom of a scoop are too thick, and averaging does not mend that. */
function offBottomNotices({ boards: { model, problem, robust } }: Findings): Notice[] {
  if (!offBottomSkew(model, problem, robust.fit)) return [];
  return [
    {
      code: 'off-the-bottom',
      severity: 'warning',
      message:
        'readings of hand cuts scatter to the thick side more than to the thin: some were taken off the bottom of their scoops',
      hint: 'take the smallest of three at each scoop, with blade or point jaws; or write down several places along each scoop under one scoop id, and its arc tells the bottom',
    },
  ];
}

function fullBoardNotices({ evidence: { fullBoards }, spoken }: Findings): Notice[] {
  if (!fullBoards || fullBoards.agree) return [];
  return [
    {
      code: 'full-board-disagrees',
      severity: 'warning',
      message:
        `the full board differs from what the knives' own heights foretell by ` +
        `${spoken.size(fullBoards.rms)} (root mean square), more than chance`,
      hint: 'check that knives and boards carry the right numbers, and that nothing moved between the cuts',
    },
  ];
}

/**
 * Knives whose middle is out though both ends may be inside: bowed, or high all along while neither
 * end is surely outside. A straight knife with an end outside is the moves' business.
 */
function bowNotices({ machine, standing, spoken }: Findings): Notice[] {
  const isOutside = (known: Known | null) => {
    const inside = conformity(known, machine.tolerance.knife);
    return inside !== null && verdict(inside) === 'outside';
  };
  return standing.middles.flatMap((middle, knife): Notice[] => {
    const isBowed = isOutside(standing.bows[knife]!);
    const isMiddleOnly = isOutside(middle) && !standing.offsets[knife]!.some(isOutside);
    if (!middle || !(isBowed || isMiddleOnly)) return [];
    const way = middle.value > 0 ? 'proud' : 'low';
    return [
      {
        code: 'middle-outside',
        severity: 'warning',
        message:
          `knife ${machine.block.knives[knife]} stands ${spoken.size(Math.abs(middle.value))} ${way} in the middle` +
          (isBowed ? ', and its edge is not straight' : ', outside the tolerance of its ends'),
        hint: "its edge may be bowed, worn or not seated: loosen, clean, tighten in the manual's order and cut again before turning anything",
      },
    ];
  });
}

/** A tilted bed: first whether it is secure, then either cure. */
function bedNotices({ machine, standing, spoken }: Findings): Notice[] {
  const { tilt } = standing;
  const inside = conformity(tilt, machine.tolerance.bed);
  if (!tilt || inside === null || verdict(inside) !== 'outside') return [];
  const { at, names } = machine.adjusters;
  const span = at.at(-1)! - at[0]!;
  const end = names[tilt.value > 0 ? 1 : 0];
  const way = `the ${end} would have to come up by ${spoken.size(Math.abs(tilt.value))} over ${spoken.place(span)}`;
  const { bed } = machine;
  const screws =
    bed.at === null
      ? ''
      : ` (${spoken.size((Math.abs(tilt.value) * (bed.at.at(-1)! - bed.at[0]!)) / span)} between its screws)`;
  return [
    {
      code: 'bed-outside',
      severity: 'warning',
      message: `the bed is tilted beyond its tolerance: ${way}${screws}`,
      hint: 'first check that it is secure (lock, slides); then level it as the manual says and cut again, or set the knives to it (--target bed)',
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
