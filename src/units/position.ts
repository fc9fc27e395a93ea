import { formatDecimal } from './length.js';

/** Positions as they stand on a sheet: without a unit, no more decimals than they need. */
export function positionIn(unit: 'mm' | 'in'): (mm: number) => string {
  const [factor, decimals] = unit === 'mm' ? [1, 1] : [25.4, 3];
  return (mm) => {
    const digits = formatDecimal(mm / factor!, decimals!);
    return digits.includes('.') ? digits.replace(/\.?0+$/, '') : digits;
  };
}
