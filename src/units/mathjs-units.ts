import { create, unitDependencies } from 'mathjs';

const { unit } = create(unitDependencies ?? {}, {});

/**
 * How many of the base unit one of the named unit is, by mathjs.
 * @param name one unit or a product of units: `yd/min`, `m min^-1`
 * @param base the same without a number in front: `minute^-1`, not `1/minute`
 * @returns null when mathjs does not know the name or it measures something else
 */
export function mathjsFactor(name: string, base: string): number | null {
  // A number within the name would be multiplied in silently.
  if (!/^[a-z]/i.test(name)) return null;
  try {
    // The fifteenth digit is conversion noise: a metre a minute comes out as 1000.0000000000001.
    return Number(unit!(1, name).toNumber(base).toPrecision(14));
  } catch {
    return null;
  }
}
