import { unitFactor } from './length.js';
import type { FactorOf } from './quantity.js';
import { feedFactor, rotationFactor } from './speed.js';

/** Where units are looked up: lengths in mm, feed speeds in mm/min, rotations in turns a minute. */
export interface UnitBook {
  readonly length: FactorOf;
  readonly feed: FactorOf;
  readonly rotation: FactorOf;
}

/** The spellings that people use every day, from tables: nothing to load. */
export const everydayUnits: UnitBook = {
  length: unitFactor,
  feed: feedFactor,
  rotation: rotationFactor,
};

/**
 * The everyday spellings and, for any other, those of mathjs (`yd/min`, `km/h`, `rad/s`, `dm`). Loads
 * mathjs, which takes longer than all else this program does: only for a unit that no table knows.
 */
export async function loadEveryUnit(): Promise<UnitBook> {
  const { mathjsFactor } = await import('./mathjs-units.js');
  return {
    length: (name) => unitFactor(name) ?? mathjsFactor(name, 'mm'),
    feed: (name) => feedFactor(name) ?? mathjsFactor(name, 'mm/minute'),
    rotation: (name) =>
      rotationFactor(name) ?? mathjsFactor(name, 'minute^-1') ?? mathjsFactor(name, 'cycle/minute'),
  };
}
