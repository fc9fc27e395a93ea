/** A number as a decimal: at most nine digits behind the point, no exponent, no float noise, never −0. */
export function plainDecimal(value: number): string {
  const digits = value.toFixed(9).replace(/\.?0+$/, '');
  return digits === '-0' ? '0' : digits;
}
