/**
 * The models of the NIST StRD nonlinear sets with their derivatives by each parameter, as functions
 * of one x and the parameters b.
 */
export interface CurveModel {
  value(x: number, b: ArrayLike<number>): number;
  gradient(x: number, b: ArrayLike<number>): readonly number[];
}

/** b1·(1 − exp(−b2·x)) */
const saturation: CurveModel = {
  value: (x, b) => -b[0]! * Math.expm1(-b[1]! * x),
  gradient: (x, b) => [-Math.expm1(-b[1]! * x), b[0]! * x * Math.exp(-b[1]! * x)],
};

/** b1·(1 − (1 + b2·x/2)⁻²) */
const inverseSquare: CurveModel = {
  value: (x, b) => b[0]! * (1 - (1 + (b[1]! * x) / 2) ** -2),
  gradient: (x, b) => {
    const base = 1 + (b[1]! * x) / 2;
    return [1 - base ** -2, b[0]! * x * base ** -3];
  },
};

/** exp(−b1·x)/(b2 + b3·x) */
const decayOverLine: CurveModel = {
  value: (x, b) => Math.exp(-b[0]! * x) / (b[1]! + b[2]! * x),
  gradient: (x, b) => {
    const line = b[1]! + b[2]! * x;
    const value = Math.exp(-b[0]! * x) / line;
    return [-x * value, -value / line, (-x * value) / line];
  },
};

/** b1·x^b2 */
const power: CurveModel = {
  value: (x, b) => b[0]! * x ** b[1]!,
  gradient: (x, b) => [x ** b[1]!, b[0]! * x ** b[1]! * Math.log(x)],
};

/** (b1 + b2·x + b3·x² + b4·x³)/(1 + b5·x + b6·x² + b7·x³) */
const cubicRatio: CurveModel = {
  value: (x, b) => {
    const above = b[0]! + x * (b[1]! + x * (b[2]! + x * b[3]!));
    return above / (1 + x * (b[4]! + x * (b[5]! + x * b[6]!)));
  },
  gradient: (x, b) => {
    const below = 1 + x * (b[4]! + x * (b[5]! + x * b[6]!));
    const value = cubicRatio.value(x, b);
    const inNumerator = [1, x, x ** 2, x ** 3].map((term) => term / below);
    const inDenominator = [x, x ** 2, x ** 3].map((term) => (-value * term) / below);
    return [...inNumerator, ...inDenominator];
  },
};

/** b1·(x² + x·b2)/(x² + x·b3 + b4) */
const quadraticRatio: CurveModel = {
  value: (x, b) => (b[0]! * (x * x + x * b[1]!)) / (x * x + x * b[2]! + b[3]!),
  gradient: (x, b) => {
    const above = x * x + x * b[1]!;
    const below = x * x + x * b[2]! + b[3]!;
    const slope = (-b[0]! * above) / below ** 2;
    return [above / below, (b[0]! * x) / below, slope * x, slope];
  },
};

/** b1·exp(b2/(x + b3)) */
const arrhenius: CurveModel = {
  value: (x, b) => b[0]! * Math.exp(b[1]! / (x + b[2]!)),
  gradient: (x, b) => {
    const shifted = x + b[2]!;
    const growth = Math.exp(b[1]! / shifted);
    return [growth, (b[0]! * growth) / shifted, (-b[0]! * growth * b[1]!) / shifted ** 2];
  },
};

/** b1/(1 + exp(b2 − b3·x))^(1/b4) */
const sigmoid: CurveModel = {
  value: (x, b) => b[0]! * (1 + Math.exp(b[1]! - b[2]! * x)) ** (-1 / b[3]!),
  gradient: (x, b) => {
    const growth = Math.exp(b[1]! - b[2]! * x);
    const share = (1 + growth) ** (-1 / b[3]!);
    const byExponent = (-b[0]! * share * growth) / ((1 + growth) * b[3]!);
    return [share, byExponent, -x * byExponent, (b[0]! * share * Math.log1p(growth)) / b[3]! ** 2];
  },
};

/** (b1/b2)·exp(−((x − b3)/b2)²/2) */
const peak: CurveModel = {
  value: (x, b) => (b[0]! / b[1]!) * Math.exp(-0.5 * ((x - b[2]!) / b[1]!) ** 2),
  gradient: (x, b) => {
    const z = (x - b[2]!) / b[1]!;
    const bell = Math.exp(-0.5 * z * z) / b[1]!;
    return [bell, (b[0]! * bell * (z * z - 1)) / b[1]!, (b[0]! * bell * z) / b[1]!];
  },
};

/** b1·(b2 + x)^(−1/b3) */
const shiftedPower: CurveModel = {
  value: (x, b) => b[0]! * (b[1]! + x) ** (-1 / b[2]!),
  gradient: (x, b) => {
    const shifted = b[1]! + x;
    const share = shifted ** (-1 / b[2]!);
    return [
      share,
      (-b[0]! * share) / (b[2]! * shifted),
      (b[0]! * share * Math.log(shifted)) / b[2]! ** 2,
    ];
  },
};

export const curveModels: Readonly<Record<string, CurveModel>> = {
  Misra1a: saturation,
  Misra1b: inverseSquare,
  Chwirut2: decayOverLine,
  DanWood: power,
  Hahn1: cubicRatio,
  MGH09: quadraticRatio,
  MGH10: arrhenius,
  Thurber: cubicRatio,
  Rat43: sigmoid,
  BoxBOD: saturation,
  Eckerle4: peak,
  Bennett5: shiftedPower,
};
