import type { Draws } from '../decide/joint.js';
import { finestLift, type Lift, liftsWithin } from '../decide/lifts.js';
import { chooseMoves, type MovePlan, type Target } from '../decide/moves.js';
import { roomToRaise } from '../decide/projection.js';
import type { Standing } from '../decide/standing.js';
import type { Adjusters, Machine } from '../machine/machine.js';
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

/** The moves for a complete standing, and what to expect of them. */
export function movesFor(
  machine: Machine,
  standing: Standing,
  draws: Draws,
  target: Target,
): ChosenMoves {
  const room = roomToRaise(machine, standing);
  const ends = ([0, 1] as const).map((end) => standing.offsets.map((knife) => knife[end]!.value));
  const reach =
    2 * Math.max(...ends.flat().map(Math.abs)) +
    Math.abs(standing.tilt!.value) +
    machine.tolerance.knife +
    2 * finestLift(machine.adjusters);
  const raise = (knife: number, end: 0 | 1) => Math.min(reach, room ? room(knife, end) : Infinity);
  const plan = chooseMoves({
    adjusters: machine.adjusters,
    ends: [ends[0]!, ends[1]!],
    tilt: standing.tilt!.value,
    draws,
    tolerance: machine.tolerance,
    target,
    lifts: memo((knife, end) => liftsWithin(machine.adjusters, -reach, raise(knife, end))),
    mayStay: (knife, end) => raise(knife, end) >= 0,
  });
  if (!plan) return { ...NO_MOVES, notices: [noWay(machine)] };
  return {
    moves: movesOf(machine, plan),
    expected: {
      worstEnd: plan.worst,
      bedTilt: plan.tilt,
      probabilityInside: plan.probability,
    },
    notices: plan.reached ? [] : [whyNoMore(machine, standing, plan, raise)],
  };
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
      const lift =
        end === null ? liftBetween(machine.adjusters, plan, k, adjuster) : plan.ends[end].lifts[k]!;
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

/** The lift that keeps the knife straight between its moved ends, in whole steps; null for none. */
function liftBetween(
  adjusters: Adjusters,
  plan: MovePlan,
  knife: number,
  adjuster: number,
): Lift | null {
  const { at } = adjusters;
  const share = (at[adjuster]! - at[0]!) / (at.at(-1)! - at[0]!);
  const [front, back] = plan.ends.map((end) => end.lifts[knife]?.lift ?? 0);
  const wanted = front! + share * (back! - front!);
  const finest = finestLift(adjusters);
  if (Math.abs(wanted) < finest / 2) return null;
  const near = liftsWithin(adjusters, wanted - finest, wanted + finest);
  return near.reduce<Lift | null>(
    (best, lift) =>
      best && Math.abs(best.lift - wanted) <= Math.abs(lift.lift - wanted) ? best : lift,
    null,
  );
}

function noWay(machine: Machine): Notice {
  return {
    code: 'no-moves-allowed',
    severity: 'warning',
    message:
      'no moves are proposed: none that the machine file allows keeps every knife within its limits',
    hint:
      machine.adjusters.kind === 'shim'
        ? 'shims only raise: add to the stock, or bring the high knives down as the manual says'
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
  const widest = Math.max(...standing.offsets.flat().map((known) => known!.U));
  const [reason, hint] = limited
    ? [
        'max_projection keeps a low knife from being raised far enough',
        'bring the high knives down instead (--target lowest), or have the knives ground as a set',
      ]
    : widest > machine.tolerance.knife / 2
      ? [
          'the heights are not known well enough',
          'measure more rounds, then analyse all readings together',
        ]
      : [
          'the adjusters move in steps too coarse for this tolerance',
          machine.adjusters.kind === 'shim'
            ? 'thinner shims would do'
            : 'a smaller finest_turn, set with care, would do',
        ];
  return {
    code: 'tolerance-not-reached',
    severity: 'warning',
    message: `no moves reach 95 %: the best reach ${percent} %, because ${reason}`,
    hint,
  };
}
