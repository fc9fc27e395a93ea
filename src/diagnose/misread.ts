/** Slips that people make when they read calipers or write down: how far off they are, mm. */
const SLIPS = [
  { off: 1, text: '1 mm misread on the scale' },
  { off: 0.5, text: '0.5 mm misread on the scale' },
  { off: 0.1, text: '0.1 mm misread on the scale' },
  { off: 25.4 / 40, text: '0.025 in misread on the scale' },
  { off: 25.4 / 16, text: '1/16 in misread on the scale' },
  { off: 25.4 / 32, text: '1/32 in misread on the scale' },
] as const;

/**
 * What most likely happened to a misread, in words; null when no usual slip explains it.
 *
 * @param thickness as written, mm
 * @param predicted what it should have been, mm
 * @param sd standard deviation of a reading, mm
 */
export function likelySlip(thickness: number, predicted: number, sd: number): string | null {
  const near = (value: number) => Math.abs(value - predicted) <= 3 * sd;
  if (near(thickness / 10) || near(thickness * 10)) return 'the decimal point slipped';
  if (near(thickness * 25.4) || near(thickness / 25.4)) return 'inches and millimetres exchanged';
  if (transpositions(thickness).some(near)) return 'two neighbouring digits exchanged';
  const slip = SLIPS.find(({ off }) => near(thickness - off) || near(thickness + off));
  return slip?.text ?? null;
}

/** The number with each pair of neighbouring digits exchanged in turn, where that changes it. */
function transpositions(thickness: number): number[] {
  const written = thickness.toFixed(2);
  const out: number[] = [];
  const digits = [...written].map((_, i) => i).filter((i) => written[i] !== '.');
  for (let i = 1; i < digits.length; i++) {
    const [a, b] = [digits[i - 1]!, digits[i]!];
    if (written[a] === written[b]) continue;
    const swapped = [...written];
    [swapped[a], swapped[b]] = [swapped[b]!, swapped[a]!];
    out.push(Number(swapped.join('')));
  }
  return out;
}
