import { type Known, knowsKnives, type Standing } from '../decide/standing.js';
import { normalQuantile } from '../fit/distributions.js';
import type { Measured, Result } from '../record/result.js';
import type { Foretelling } from './foretell.js';

/** U in units of u where the noise is known. */
const COVERAGE = normalQuantile(0.975);

/**
 * What boards will tell beside a result that rests on other instruments too. Their readings are not in
 * the rows that a plan is judged by, and further boards make nothing less sure: so what the result
 * knows better stays. Unchanged where some knife is unknown, since the mean of the knives will change.
 */
export function besideInstruments(foretelling: Foretelling, result: Result): Foretelling {
  const isOthers = result.instruments?.some(({ used }) => used > 0) ?? false;
  const known = knownIn(result);
  if (!isOthers || !knowsKnives(known)) return foretelling;
  const { boards, standing } = foretelling;
  const isForetold = knowsKnives(standing);
  return {
    ...foretelling,
    boards: { ...boards, group: result.knives.map((_, knife) => knife) },
    standing: {
      ...standing,
      offsets: known.offsets.map(([front, back], knife) => {
        const [f, b] = isForetold ? standing.offsets[knife]! : [null, null];
        return [narrower(front, f), narrower(back, b)];
      }),
      tilt: narrower(known.tilt, isForetold ? standing.tilt : null),
      crown: narrower(known.crown, isForetold ? standing.crown : null),
      taper: narrower(known.taper, standing.taper),
    },
  };
}

function knownIn({ knives, bed, crown, board }: Result): Standing {
  const none = knives.map(() => null);
  return {
    offsets: knives.map(({ ends: [front, back] }) => [
      knownOf({ ...front!, value: front!.offset }),
      knownOf({ ...back!, value: back!.offset }),
    ]),
    middles: none,
    bows: none,
    tilt: knownOf({ ...bed, value: bed.tilt }),
    crown: crown ? knownOf(crown) : null,
    taper: knownOf({ ...board, value: board.taper }),
    degreesOfFreedom: Infinity,
  };
}

function knownOf({ value, U }: Pick<Measured, 'value' | 'U'>): Known | null {
  if (value === null || U == null) return null;
  return {
    value,
    u: U / COVERAGE,
    U,
    factor: new Float64Array(0),
    restsOnBedLock: false,
    degreesOfFreedom: Infinity,
  };
}

function narrower(one: Known | null, other: Known | null): Known | null {
  if (!one || !other) return one ?? other;
  return other.U < one.U ? other : one;
}
