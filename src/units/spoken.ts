import { formatLength } from './length.js';

/** Lengths in words for messages, in the unit that people read. */
export interface Spoken {
  readonly unit: 'mm' | 'in';
  /** `0.012 mm`: differences of thickness and height. */
  readonly size: (mm: number) => string;
  /** `480 mm`: positions. */
  readonly place: (mm: number) => string;
  /** `20.01 mm`: a thickness as calipers show it. */
  readonly thickness: (mm: number) => string;
}

/** How lengths are spoken of in a unit: finer than any caliper, positions to the mm or so. */
export function spokenIn(unit: 'mm' | 'in'): Spoken {
  const [size, place, thickness] = unit === 'mm' ? [3, 0, 2] : [4, 2, 4];
  return {
    unit,
    size: (mm) => formatLength(mm, unit, size!),
    place: (mm) => formatLength(mm, unit, place!),
    thickness: (mm) => formatLength(mm, unit, thickness!),
  };
}
