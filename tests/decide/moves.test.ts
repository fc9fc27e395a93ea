import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { drawErrors } from '../../src/decide/joint.js';
import { liftsWithin } from '../../src/decide/lifts.js';
import { chooseMoves, type MoveProblem } from '../../src/decide/moves.js';
import type { ScrewAdjusters } from '../../src/machine/machine.js';

const TOLERANCE = 0.05;
const U = 0.004;

function screw(finestTurn: number): ScrewAdjusters {
  return {
    kind: 'screw',
    at: [40, 480],
    names: ['front', 'back'],
    thread: 'M6',
    pitch: 1,
    liftPerTurn: 1,
    raisedBy: 'anticlockwise',
    finestTurn,
    turnSd: finestTurn / 6,
    approach: null,
  };
}

/** Knives whose offsets add up to zero at each end, with errors that do so too. */
function problemOf(
  heights: readonly (readonly number[])[],
  adjusters: ScrewAdjusters,
  rest: Partial<MoveProblem> = {},
): MoveProblem {
  const knives = heights.length;
  const ends = [0, 1].map((end) => {
    const mean = heights.reduce((sum, knife) => sum + knife[end]!, 0) / knives;
    return heights.map((knife) => knife[end]! - mean);
  });
  const factors = heights.flatMap((_, knife) =>
    [0, 1].map((end) =>
      Float64Array.from({ length: 2 * knives + 1 }, (_, column) => {
        if (column === 2 * knives || column % 2 !== end) return 0;
        return U * ((column >> 1 === knife ? 1 : 0) - 1 / knives);
      }),
    ),
  );
  const tilt = Float64Array.from({ length: 2 * knives + 1 }, (_, j) => (j === 2 * knives ? U : 0));
  return {
    adjusters,
    ends: [ends[0]!, ends[1]!],
    tilt: 0,
    draws: drawErrors([...factors, tilt], Infinity),
    tolerance: { knife: TOLERANCE, bed: 0.1 },
    target: { name: 'mean' },
    lifts: () => liftsWithin(adjusters, -0.4, 0.4),
    mayStay: () => true,
    leastU: U * Math.sqrt(1 - 1 / knives),
    between: () => [],
    ...rest,
  };
}

/** Every plan of up to `most` steps an end, one end at a time: steps, moves and worst end. */
function everyPlan(offsets: readonly number[], step: number, most: number) {
  let plans: number[][] = [[]];
  for (let knife = 0; knife < offsets.length; knife++) {
    plans = plans.flatMap((plan) =>
      Array.from({ length: 2 * most + 1 }, (_, i) => [...plan, i - most]),
    );
  }
  return plans.map((steps) => {
    const heights = offsets.map((height, knife) => height + steps[knife]! * step);
    const mean = heights.reduce((sum, height) => sum + height, 0) / heights.length;
    return {
      count: steps.filter((each) => each !== 0).length,
      worst: Math.max(...heights.map((height) => Math.abs(height - mean))),
    };
  });
}

const heightsOf = (knives: number) =>
  fc.array(
    fc.tuple(
      fc.double({ min: -0.15, max: 0.15, noNaN: true }),
      fc.double({ min: -0.15, max: 0.15, noNaN: true }),
    ),
    { minLength: knives, maxLength: knives },
  );

describe('choosing moves', () => {
  it.each([2, 3, 4])(
    'finds the smallest worst end of any plan with as many moves: %i knives',
    (knives) => {
      const adjusters = screw(1 / 16);
      fc.assert(
        fc.property(heightsOf(knives), (heights) => {
          const problem = problemOf(heights, adjusters);
          const plan = chooseMoves(problem)!;
          for (const end of [0, 1] as const) {
            const all = everyPlan(problem.ends[end], 1 / 16, 6);
            const asMany = all.filter(({ count }) => count === plan.ends[end].count);
            const best = Math.min(...asMany.map(({ worst }) => worst));
            // Worse than the best only where the other end is the worst of all anyway.
            expect(plan.worst).toBeGreaterThanOrEqual(best - 1e-9);
            const other = plan.ends[1 - end]!.worst;
            if (plan.reached && plan.count > 0) {
              expect(plan.ends[end].worst).toBeLessThanOrEqual(Math.max(best, other) + 1e-9);
            }
          }
        }),
        { numRuns: knives === 4 ? 15 : 40 },
      );
    },
  );

  it('takes no more moves than any plan that is inside with room to spare', () => {
    const adjusters = screw(1 / 16);
    // Four standard deviations of a moved end: estimate, hand and thread together.
    const room = 4 * Math.hypot(U, 1 / 96, 0.02 * 0.15);
    fc.assert(
      fc.property(heightsOf(3), (heights) => {
        const problem = problemOf(heights, adjusters);
        const fewest = [0, 1].map((end) => {
          const sure = everyPlan(problem.ends[end]!, 1 / 16, 4).filter(
            ({ worst }) => worst <= TOLERANCE - room,
          );
          return Math.min(...sure.map(({ count }) => count));
        });
        const plan = chooseMoves(problem)!;
        if (Number.isFinite(fewest[0]! + fewest[1]!)) {
          expect(plan.reached).toBe(true);
          expect(plan.count).toBeLessThanOrEqual(fewest[0]! + fewest[1]!);
        }
      }),
      { numRuns: 60 },
    );
  });

  it('leaves knives alone that are inside', () => {
    const plan = chooseMoves(
      problemOf(
        [
          [0.01, -0.01],
          [-0.01, 0.01],
        ],
        screw(1 / 16),
      ),
    )!;
    expect(plan.count).toBe(0);
    expect(plan.reached).toBe(true);
  });

  it('turns the one screw that is wrong', () => {
    const heights = [
      [0, 0],
      [0, 0],
      [0, -0.125],
      [0, 0],
    ];
    const plan = chooseMoves(problemOf(heights, screw(1 / 16)))!;
    expect(plan.count).toBe(1);
    expect(plan.ends[1].lifts[2]!.steps).toBe(2);
    expect(plan.probability).toBeGreaterThan(0.95);
  });

  it('only raises to the highest knife, only lowers to the lowest, and leaves a named one', () => {
    fc.assert(
      fc.property(heightsOf(3), (heights) => {
        const steps = (target: MoveProblem['target']) =>
          chooseMoves(problemOf(heights, screw(1 / 16), { target }))!.ends.map(({ lifts }) =>
            lifts.map((lift) => lift?.steps ?? 0),
          );
        expect(Math.min(...steps({ name: 'highest' }).flat())).toBeGreaterThanOrEqual(0);
        expect(Math.max(...steps({ name: 'lowest' }).flat())).toBeLessThanOrEqual(0);
        expect(steps({ name: 'knife', knife: 1 }).map((end) => end[1])).toEqual([0, 0]);
      }),
      { numRuns: 30 },
    );
  });

  it('brings the knives parallel to a tilted bed when that is the target', () => {
    const level = [
      [0, 0],
      [0, 0],
    ];
    const problem = problemOf(level, screw(1 / 16), { tilt: 0.2, target: { name: 'bed' } });
    const plan = chooseMoves(problem)!;
    expect(plan.reached).toBe(true);
    expect(Math.abs(plan.tilt)).toBeLessThan(0.1);
    expect(plan.worst).toBeLessThan(0.05);
    expect(chooseMoves(problemOf(level, screw(1 / 16), { tilt: 0.2 }))!.count).toBe(0);
  });

  it('never takes a lift that is not offered, and moves an end that may not stay', () => {
    const heights = [
      [0, 0],
      [0, -0.12],
      [0, 0],
    ];
    const low = problemOf(heights, screw(1 / 16), {
      lifts: () => liftsWithin(screw(1 / 16), -0.4, 0),
    });
    expect(
      chooseMoves(low)!.ends.flatMap(({ lifts }) => lifts.filter((each) => each && each.lift > 0)),
    ).toEqual([]);
    const forced = problemOf(
      [
        [0, 0],
        [0, 0],
      ],
      screw(1 / 16),
      {
        lifts: () => liftsWithin(screw(1 / 16), -0.4, -0.01),
        mayStay: (knife, end) => knife !== 0 || end !== 0,
      },
    );
    expect(chooseMoves(forced)!.ends[0].lifts[0]!.lift).toBeLessThan(0);
  });

  it('gives the best there is where steps are too coarse', () => {
    const plan = chooseMoves(
      problemOf(
        [
          [0.12, 0],
          [-0.12, 0],
          [0.01, 0],
        ],
        screw(1 / 2),
      ),
    )!;
    expect(plan.reached).toBe(false);
  });
});
