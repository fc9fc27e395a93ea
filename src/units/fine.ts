import { formatDecimal } from './length.js';

/** Units for heights far below what calipers see. */
const FINE = { mm: { name: 'µm', mm: 0.001 }, in: { name: 'thou', mm: 0.0254 } } as const;

const MOST_DECIMALS = 4;

/** Micrometres beside mm, thousandths of an inch beside inches. */
export function fineUnit(unit: 'mm' | 'in'): string {
  return FINE[unit].name;
}

/** A small height to two digits, `8.2 µm` or `0.32 thou`; never `-0`. */
export function formatFine(mm: number, unit: 'mm' | 'in'): string {
  const value = mm / FINE[unit].mm;
  return `${formatDecimal(value, decimalsOf(value))} ${FINE[unit].name}`;
}

/**
 * A small height without its unit, to the digits that its uncertainty leaves it: `+1.20`.
 *
 * @param U expanded uncertainty, mm; null gives two digits
 */
export function formatFineWithin(mm: number, U: number | null, unit: 'mm' | 'in'): string {
  const value = mm / FINE[unit].mm;
  const decimals = decimalsOf(U === null ? value : U / FINE[unit].mm);
  return formatDecimal(value, decimals, true);
}

/** Decimals that show two digits of a number. */
function decimalsOf(value: number): number {
  if (value === 0) return 0;
  const wanted = 1 - Math.floor(Math.log10(Math.abs(value)));
  return Math.min(MOST_DECIMALS, Math.max(0, wanted));
}
