import { type Draws, jointProbability } from '../decide/joint.js';
import { finestLift, type Lift, liftsWithin } from '../decide/lifts.js';
import { chooseMoves, type MovePlan, type Target } from '../decide/moves.js';
import { roomToRaise } from '../decide/projection.js';
import type { Standing } from '../decide/standing.js';
import { type Adjusters, type Machine, outerAdjusters } from '../machine/machine.js';
import { straightAt } from '../model/coordinates.js';
import type { Notice } from '../notices/notice.js';
import type { Expected, Move } from '../record/result.js';

export interface ChosenMoves {
  readonly moves: readonly Move[];
  readonly expected: Expected;
  readonly notices: readonly Notice[];
}

/** No moves, and nothing foretold: something is not known, or not to be trusted. */
export const NO_MOVES: ChosenMoves = {
  moves: [],
  expected: { worstEnd: null, bedTilt: null, probabilityInside: null },
  notices: [],
};

/**
 * The moves for a standing in which every knife is known, and what to expect of them.
 *
 * @param draws errors of the standing's offsets and tilt
 */
export function movesFor(
  machine: Machine,
  standing: Standing,
  draws: Draws,
  target: Target,
): ChosenMoves {
  if (target.name === 'bed' && !standing.tilt) return { ...NO_MOVES, notices: [NO_TILT] };
  const { adjusters } = machine;
  const xs = outerAdjusters(machine);
  const room = roomToRaise(machine, standing);
  const ends = ([0, 1] as const).map((end) => standing.offsets.map((knife) => knife[end]!.value));
  const roomAt = (knife: number, end: 0 | 1) => room(knife, xs[end]);
  const tightest = Math.min(...ends[0]!.flatMap((_, k) => [roomAt(k, 0), roomAt(k, 1)]));
  const reach =
    2 * Math.max(...ends.flat().map(Math.abs)) +
    Math.abs(standing.tilt?.value ?? 0) +
    machine.tolerance.knife +
    2 * finestLift(adjusters) +
    Math.max(0, -tightest);
  const plan = chooseMoves({
    adjusters,
    ends: [ends[0]!, ends[1]!],
    tilt: standing.tilt?.value ?? null,
    draws,
    leastU: Math.min(...standing.offsets.flat().map((known) => known!.u)),
    tolerance: machine.tolerance,
    target,
    lifts: memo((knife, end) =>
      liftsWithin(adjusters, -reach, Math.min(reach, roomAt(knife, end))),
    ),
    mayStay: (knife, end) => roomAt(knife, end) >= 0,
    between: (knife, front, back) => liftsBetween(adjusters, front, back, (x) => room(knife, x)),
  });
  if (!plan) return { ...NO_MOVES, notices: [noWay(machine, target)] };
  if (!plan.reached && widestU(standing) > machine.tolerance.knife) {
    return leftAlone(machine, standing, draws);
  }
  return {
    moves: movesOf(machine, plan),
    expected: {
      worstEnd: plan.worst,
      bedTilt: standing.tilt ? plan.tilt : null,
      probabilityInside: plan.probability,
    },
    notices: [
      ...(plan.reached ? [] : [whyNoMore(machine, standing, plan, roomAt)]),
      ...tiltNotices(machine, standing, plan),
      ...(machine.block.maxProjection !== null && plan.count > 0 ? [PARALLEL_TO_BODY] : []),
    ],
  };
}

function widestU(standing: Standing): number {
  return Math.max(...standing.offsets.flat().map((known) => known!.U));
}

/** Heights known worse than the tolerance itself: turning screws by them would be turning on noise. */
function leftAlone(machine: Machine, standing: Standing, draws: Draws): ChosenMoves {
  const offsets = standing.offsets.flat().map((known) => known!.value);
  const tilt = standing.tilt?.value ?? null;
  const limits = [...offsets.map(() => machine.tolerance.knife), Infinity];
  return {
    moves: [],
    expected: {
      worstEnd: Math.max(...offsets.map(Math.abs)),
      bedTilt: tilt,
      probabilityInside: jointProbability(draws, [...offsets, tilt ?? 0], limits),
    },
    notices: [
      {
        code: 'heights-too-uncertain',
        severity: 'warning',
        message: 'no moves are proposed: the heights are known worse than the tolerance',
        hint: 'measure each knife at places near both outer adjusters, four times round, and analyse all readings together',
      },
    ],
  };
}

const NO_TILT: Notice = {
  code: 'bed-not-known',
  severity: 'warning',
  message:
    'no moves are proposed: the knives cannot be brought parallel to a bed whose tilt is not known',
  hint: 'cut one wide board across all places, or choose another --target',
};

const PARALLEL_TO_BODY: Notice = {
  code: 'projection-carried-over',
  severity: 'info',
  message:
    "projections are carried over from the one measured, taking the mean of the knives to run parallel to the block's body",
  hint: 'measure the projection of each knife after it is moved, as the manual says',
};

/** Moves that put the bed's tilt outside, which was inside. */
function tiltNotices(machine: Machine, standing: Standing, plan: MovePlan): Notice[] {
  const limit = machine.tolerance.bed;
  const before = standing.tilt?.value;
  if (before === undefined || Math.abs(before) > limit || Math.abs(plan.tilt) <= limit) return [];
  return [
    {
      code: 'tilt-after-moves',
      severity: 'warning',
      message:
        'these moves put the knives on a slant to the bed: the tilt, now inside, would be outside its tolerance',
      hint: '--target mean may keep it inside, --target bed does where that can be',
    },
  ];
}

function memo(make: (knife: number, end: 0 | 1) => readonly Lift[]) {
  const made = new Map<string, readonly Lift[]>();
  return (knife: number, end: 0 | 1) => {
    const key = `${knife}:${end}`;
    const lifts = made.get(key) ?? make(knife, end);
    made.set(key, lifts);
    return lifts;
  };
}

/** Moves knife by knife, from the front to the back; adjusters between the ends follow the line. */
function movesOf(machine: Machine, plan: MovePlan): Move[] {
  const { at, names } = machine.adjusters;
  const last = at.length - 1;
  return machine.block.knives.flatMap((knife, k) =>
    at.flatMap((x, adjuster): Move[] => {
      const end = adjuster === 0 ? 0 : adjuster === last ? 1 : null;
      const lift = end === null ? plan.between[k]![adjuster - 1] : plan.ends[end].lifts[k];
      if (!lift) return [];
      return [
        {
          knife,
          end: end === null ? null : names[end],
          x,
          lift: lift.lift,
          ...howFar(machine.adjusters, lift),
          residualAfter: end === null ? null : plan.ends[end].residuals[k]!,
        },
      ];
    }),
  );
}

function howFar(adjusters: Adjusters, lift: Lift): Partial<Move> {
  if (adjusters.kind === 'shim') return { shims: lift.shims };
  const opposite = adjusters.raisedBy === 'clockwise' ? 'anticlockwise' : 'clockwise';
  return {
    turns: lift.steps * adjusters.finestTurn,
    direction: lift.steps > 0 ? adjusters.raisedBy : opposite,
  };
}

/**
 * The lifts that keep a knife straight between its moved ends, in what the adjusters allow; null for
 * an adjuster to be left. The whole is null where even that projects too far.
 */
function liftsBetween(
  adjusters: Adjusters,
  front: number,
  back: number,
  room: (x: number) => number,
): (Lift | null)[] | null {
  const { at } = adjusters;
  const out: (Lift | null)[] = [];
  for (const x of at.slice(1, -1)) {
    const wanted = straightAt({ front: at[0]!, back: at.at(-1)! }, x, front, back);
    const far = 2 * Math.abs(wanted) + finestLift(adjusters);
    const highest = Math.min(far, room(x));
    let best: Lift | null = null;
    for (const lift of liftsWithin(adjusters, -far, highest)) {
      if (Math.abs(lift.lift - wanted) < Math.abs((best?.lift ?? 0) - wanted)) best = lift;
    }
    if (best === null && highest < 0) return null;
    out.push(best);
  }
  return out;
}

function noWay(machine: Machine, target: Target): Notice {
  const isLine = target.name !== 'mean' && target.name !== 'bed';
  return {
    code: 'no-moves-allowed',
    severity: 'warning',
    message:
      'no moves are proposed: none that the machine file allows keeps every knife within its limits',
    hint:
      machine.adjusters.kind === 'shim'
        ? 'shims only raise: --target mean or highest, more stock, or bring the high knives down as the manual says'
        : isLine
          ? 'this target and max_projection exclude each other: choose --target mean or lowest'
          : 'check max_projection and the measured projection in the machine file',
  };
}

/** Why the best plan does not reach 95 %, and what would. */
function whyNoMore(
  machine: Machine,
  standing: Standing,
  plan: MovePlan,
  raise: (knife: number, end: 0 | 1) => number,
): Notice {
  const percent = Math.floor(plan.probability * 100);
  const limited = standing.offsets.some((ends, knife) =>
    ends.some((end, e) => end!.value < 0 && raise(knife, e as 0 | 1) < -end!.value),
  );
  const widest = widestU(standing);
  const { kind } = machine.adjusters;
  const [reason, hint] = limited
    ? [
        'max_projection keeps a low knife from being raised far enough',
        'bring the high knives down instead (--target lowest), or have the knives ground as a set',
      ]
    : (plan.steady ?? 0) >= 0.95
      ? [
          'hands and threads are not that exact over so long a way',
          'make the moves, cut test boards again, and let confirm tell what is left',
        ]
      : widest > machine.tolerance.knife / 2
        ? [
            'the heights are not known well enough',
            'measure more rounds, then analyse all readings together',
          ]
        : kind === 'shim'
          ? ['the shims at hand do not come near enough', 'get thinner ones, or more of them']
          : [
              'the adjusters move in steps too coarse for this tolerance',
              'a smaller finest_turn, set with care, would do',
            ];
  return {
    code: 'tolerance-not-reached',
    severity: 'warning',
    message: `no moves reach 95 %: the best reach ${percent} %, because ${reason}`,
    hint,
  };
}
