import { formatLength } from '../../units/length.js';

/** How lengths are shown: in which unit, to how many decimals. */
export interface Figures {
  readonly unit: 'mm' | 'in';
  /** `+0.012 mm`; a plus where the sign tells something. */
  readonly height: (mm: number) => string;
  /** `0.012 mm`, without a sign for what has none. */
  readonly size: (mm: number) => string;
  /** `+0.012 ± 0.008`, the ± being the expanded uncertainty; `not known` where it is null. */
  readonly measured: (mm: number | null, U: number | null) => string;
  /** A position across or along, `40 mm`. */
  readonly position: (mm: number) => string;
}

/** Below this U, mm, one more decimal tells something. */
const FINE = { mm: 0.00095, in: 0.0024 } as const;

/** Micrometres in mm, tenths of a thou in inches: finer than any caliper. */
export function figuresIn(unit: 'mm' | 'in'): Figures {
  const decimals = unit === 'mm' ? 3 : 4;
  const signed = (mm: number) => minus(formatLength(mm, unit, decimals, true));
  const size = (mm: number) => minus(formatLength(mm, unit, decimals));
  return {
    unit,
    height: signed,
    size,
    measured: (mm, U) => {
      if (mm === null || U === null) return 'not known';
      // Knife marks know heights better than the usual decimals show.
      const places = U < FINE[unit] ? decimals + 1 : decimals;
      const bare = (value: number, sign: boolean) =>
        minus(formatLength(value, unit, places, sign)).replace(` ${unit}`, '');
      return `${bare(mm, true)} ± ${bare(U, false)}`;
    },
    position: (mm) => formatLength(mm, unit, unit === 'mm' ? 0 : 2),
  };
}

function minus(text: string): string {
  return text.replace('-', '−');
}

/** A probability that never claims certainty: `97 %`, `more than 99 %`, `less than 1 %`. */
export function percent(probability: number): string {
  if (probability > 0.99) return 'more than 99 %';
  if (probability < 0.01) return 'less than 1 %';
  return `${Math.floor(probability * 100)} %`;
}
