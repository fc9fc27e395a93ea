import type { Random } from './random.js';

/** How readings are taken and written down; lengths in mm. */
export interface Caliper {
  readonly noiseSd: number;
  readonly resolution: number;
  /** How far off a scoop's bottom the jaws are held, standard deviation. */
  readonly offBottomSd: number;
  /** Width of the blades used in a scoop, along the board. */
  readonly bladeWidth: number;
  /** Width of the flat jaws used on a planed face. */
  readonly jawWidth: number;
  /** Tries a reading, of which the smallest is written down. */
  readonly tries: number;
  /** Whether each try has noise of its own, or the smallest has all of it. */
  readonly noisePerTry: boolean;
  /** Zero error, the same in every reading. */
  readonly zeroError: number;
  /** Share of readings that are misread. */
  readonly misreadRate: number;
}

export const USUAL_CALIPER: Caliper = {
  noiseSd: 0.01,
  resolution: 0.01,
  offBottomSd: 0.7,
  bladeWidth: 0.3,
  jawWidth: 3,
  tries: 3,
  noisePerTry: false,
  zeroError: 0.02,
  misreadRate: 0.01,
};

/**
 * The smallest of several tries, as it is written down.
 *
 * @param thickness what stands between the jaws at one try, mm
 * @param tries how many
 */
export function readSmallest(
  caliper: Caliper,
  thickness: () => number,
  tries: number,
  random: Random,
): string {
  const noise = () => random.normal(caliper.noiseSd);
  const values = Array.from(
    { length: tries },
    () => thickness() + (caliper.noisePerTry ? noise() : 0),
  );
  const shown = Math.min(...values) + (caliper.noisePerTry ? 0 : noise()) + caliper.zeroError;
  return asWritten(shown, caliper.resolution);
}

/** Rounded to an instrument’s resolution, with as many decimals as that has. */
export function asWritten(value: number, resolution: number): string {
  const decimals = Math.max(0, Math.ceil(-Math.log10(resolution) - 1e-9));
  return (Math.round(value / resolution) * resolution).toFixed(decimals);
}

/** Two neighbouring digits exchanged; null where they are equal, or only one of them is a digit. */
function transposed(text: string, at: number): string | null {
  const digits = [...text].flatMap((char, i) => (char === '.' ? [] : [i]));
  const [i, j] = [digits[at]!, digits[at + 1]!];
  if (text[i] === text[j]) return null;
  const chars = [...text];
  [chars[i], chars[j]] = [text[j]!, text[i]!];
  return chars.join('');
}

/**
 * A reading written down wrongly: off by 0.1, 0.5 or 1 mm, two neighbouring digits exchanged, or the
 * decimal point slipped. Only what a reader of thicknesses would still take for one (3 to 500 mm):
 * the rest is noticed when it is keyed in.
 */
export function misread(text: string, random: Random): string {
  const decimals = text.split('.')[1]!.length;
  const value = Number(text);
  const off = [0.1, 0.5, 1].flatMap((size) => [value + size, value - size]);
  const wrong = {
    off: off.map((v) => v.toFixed(decimals)),
    exchanged: [0, 1, 2].map((at) => transposed(text, at)),
    slipped: [value * 10, value / 10].map((v) => v.toFixed(decimals)),
  };
  const kinds = Object.values(wrong)
    .map((texts) => texts.filter((candidate) => isPlausible(candidate, value)))
    .filter((texts) => texts.length > 0);
  return random.pick(random.pick(kinds))!;
}

function isPlausible(text: string | null, right: number): boolean {
  return text !== null && Number(text) !== right && Number(text) >= 3 && Number(text) <= 500;
}
