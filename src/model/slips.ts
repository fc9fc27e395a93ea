import { formatDecimal, unitFactor } from '../units/length.js';

/** Slips of the eye on a scale, and how far off they are, each in its unit. */
const ON_THE_SCALE = {
  mm: [
    { off: 1, text: '1 mm misread on the scale' },
    { off: 0.5, text: '0.5 mm misread on the scale' },
    { off: 0.1, text: '0.1 mm misread on the scale' },
  ],
  in: [
    { off: 0.1, text: '0.1 in misread on the scale' },
    { off: 1 / 16, text: '1/16 in misread on the scale' },
    { off: 1 / 32, text: '1/32 in misread on the scale' },
    { off: 0.025, text: '0.025 in misread on the scale' },
    { off: 0.005, text: '0.005 in misread on the scale' },
  ],
} as const;

/** Decimals that calipers show. */
const DECIMALS = { mm: [2], in: [3, 4] } as const;

/**
 * What most likely happened to a misread, in words; null when no usual slip explains it, or when too
 * little is known of what it should be to tell one slip from another.
 *
 * @param thickness as entered, mm
 * @param expected what it should be, mm
 * @param sd standard deviation of the difference, mm
 * @param unit in which it was read off
 */
export function likelySlip(
  thickness: number,
  expected: number,
  sd: number,
  unit: 'mm' | 'in',
): string | null {
  const near = (value: number) => Math.abs(value - expected) <= 3 * sd;
  if (near(thickness / 10) || near(thickness * 10)) return 'the decimal point slipped';
  if (near(thickness * 25.4) || near(thickness / 25.4)) return 'inches and millimetres exchanged';
  const factor = unitFactor(unit)!;
  const exchanged = DECIMALS[unit].flatMap((decimals) => exchanges(thickness / factor, decimals));
  const slips = [
    ...(exchanged.some((value) => near(value * factor))
      ? ['two neighbouring digits exchanged']
      : []),
    ...ON_THE_SCALE[unit]
      .filter(({ off }) => near(thickness - off * factor) || near(thickness + off * factor))
      .map(({ text }) => text),
  ];
  return slips.length <= 2 && slips.length > 0 ? slips.join(', or ') : null;
}

/** The number with each pair of neighbouring digits exchanged in turn, where that changes it. */
function exchanges(value: number, decimals: number): number[] {
  const written = formatDecimal(value, decimals);
  const digits = [...written].flatMap((sign, at) => (sign === '.' ? [] : [at]));
  return digits.slice(1).flatMap((at, i) => {
    const before = digits[i]!;
    if (written[before] === written[at]) return [];
    const swapped = [...written];
    [swapped[before], swapped[at]] = [swapped[at]!, swapped[before]!];
    return [Number(swapped.join(''))];
  });
}
