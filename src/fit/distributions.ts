/**
 * Distribution functions and quantiles of the normal, Student's and χ² distributions, by the
 * textbook series and continued fractions (Abramowitz and Stegun 1964, chapters 6 and 26). Ours
 * rather than a library's: those seen either reach only seven digits or double the program's start.
 */

/** Beyond this the series for the normal distribution gives way to the continued fraction. */
const TAIL = 5;
const TINY = 1e-300;
const MOST_TERMS = 10_000;

/** Standard normal distribution function. */
export function normalCdf(z: number): number {
  const size = Math.abs(z);
  if (size > 40) return z > 0 ? 1 : 0;
  const density = Math.exp(-0.5 * z * z) / Math.sqrt(2 * Math.PI);
  if (size < TAIL) {
    let term = z;
    let sum = z;
    for (let k = 3; Math.abs(term) > Number.EPSILON * 0.01 * Math.abs(sum); k += 2) {
      term *= (z * z) / k;
      sum += term;
    }
    return 0.5 + density * sum;
  }
  let fraction = 0;
  for (let k = 120; k >= 1; k--) fraction = k / (size + fraction);
  const tail = density / (size + fraction);
  return z > 0 ? 1 - tail : tail;
}

/** Standard normal quantile of probability p in (0, 1). */
export function normalQuantile(p: number): number {
  if (p <= 0 || p >= 1) return p === 0 ? -Infinity : p === 1 ? Infinity : Number.NaN;
  const lower = Math.min(p, 1 - p);
  // Hastings' approximation (26.2.23), good to 4.5e-4, then Halley's steps.
  const t = Math.sqrt(-2 * Math.log(lower));
  const above = 2.515517 + t * (0.802853 + t * 0.010328);
  let z = above / (1 + t * (1.432788 + t * (0.189269 + t * 0.001308))) - t;
  for (let step = 0; step < 2; step++) {
    const off = (normalCdf(z) - lower) * Math.sqrt(2 * Math.PI) * Math.exp(0.5 * z * z);
    z -= off / (1 + 0.5 * z * off);
  }
  return p > 0.5 ? -z : z;
}

/**
 * From so many degrees of freedom on t is the normal distribution with a correction of order 1/ν; the
 * incomplete beta function loses its digits there.
 */
const NEARLY_NORMAL = 1e7;

/** Student's t distribution function; normal for infinitely many degrees of freedom. */
export function tCdf(t: number, degreesOfFreedom: number): number {
  if (degreesOfFreedom === Infinity) return normalCdf(t);
  const ν = degreesOfFreedom;
  if (ν > NEARLY_NORMAL) {
    // 26.7.8.
    return normalCdf((t * (1 - 1 / (4 * ν))) / Math.sqrt(1 + (t * t) / (2 * ν)));
  }
  const tail = 0.5 * incompleteBeta(ν / (ν + t * t), (t * t) / (ν + t * t), ν / 2, 0.5);
  return t > 0 ? 1 - tail : tail;
}

/**
 * Student's t quantile of probability p for any positive degrees of freedom; infinitely many mean a
 * known standard deviation, and the normal quantile.
 */
export function tQuantile(p: number, degreesOfFreedom: number): number {
  if (degreesOfFreedom === Infinity || !(p > 0 && p < 1)) return normalQuantile(p);
  if (p === 0.5) return 0;
  const ν = degreesOfFreedom;
  if (ν > NEARLY_NORMAL) {
    const z = normalQuantile(p);
    return z + (z ** 3 + z) / (4 * ν); // 26.7.5.
  }
  const lower = Math.min(p, 1 - p);
  const logScale = logGamma((ν + 1) / 2) - logGamma(ν / 2) - 0.5 * Math.log(ν * Math.PI);
  // The tail is convex in log t, so Newton's steps there settle from any start below it.
  let size = Math.max(-normalQuantile(lower), 1e-6);
  for (let step = 0; step < 200; step++) {
    const tail = tCdf(-size, ν);
    const density = Math.exp(logScale - ((ν + 1) / 2) * Math.log1p((size * size) / ν));
    const change = (Math.log(tail) - Math.log(lower)) * (tail / (density * size));
    size *= Math.exp(Math.max(-1, Math.min(1, change)));
    if (Math.abs(change) < 4 * Number.EPSILON) break;
  }
  return p > 0.5 ? size : -size;
}

/** χ² distribution function. */
export function chiSquareCdf(x: number, degreesOfFreedom: number): number {
  return x <= 0 ? 0 : incompleteGamma(degreesOfFreedom / 2, x / 2);
}

/** Distribution function of F, the ratio of two mean squares, for finite degrees of freedom. */
export function fCdf(ratio: number, above: number, below: number): number {
  if (ratio <= 0) return 0;
  const total = above * ratio + below;
  return incompleteBeta((above * ratio) / total, below / total, above / 2, below / 2);
}

/** Regularised incomplete beta function I_x(a, b); y = 1 − x is given too, to keep its digits. */
function incompleteBeta(x: number, y: number, a: number, b: number): number {
  if (x <= 0) return 0;
  if (y <= 0) return 1;
  if (x > (a + 1) / (a + b + 2)) return 1 - incompleteBeta(y, x, b, a);
  const logFront = logGamma(a + b) - logGamma(a) - logGamma(b) + a * Math.log(x) + b * Math.log(y);
  return (Math.exp(logFront) / a) * betaFraction(x, a, b);
}

/** The continued fraction 26.5.8 by Lentz's method. */
function betaFraction(x: number, a: number, b: number): number {
  let c = 1;
  let d = 1 / nonZero(1 - ((a + b) * x) / (a + 1));
  let value = d;
  for (let m = 1; m < MOST_TERMS; m++) {
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m));
    d = 1 / nonZero(1 + even * d);
    c = nonZero(1 + even / c);
    value *= d * c;
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
    d = 1 / nonZero(1 + odd * d);
    c = nonZero(1 + odd / c);
    value *= d * c;
    if (Math.abs(d * c - 1) < Number.EPSILON) break;
  }
  return value;
}

/** Regularised lower incomplete gamma function P(a, x): series 6.5.29, or fraction 6.5.31. */
function incompleteGamma(a: number, x: number): number {
  const front = Math.exp(a * Math.log(x) - x - logGamma(a));
  if (x < a + 1) {
    let term = 1 / a;
    let sum = term;
    for (let k = 1; k < MOST_TERMS && term > sum * Number.EPSILON; k++) {
      term *= x / (a + k);
      sum += term;
    }
    return front * sum;
  }
  let b = x + 1 - a;
  let c = 1 / TINY;
  let d = 1 / nonZero(b);
  let value = d;
  for (let k = 1; k < MOST_TERMS; k++) {
    const share = -k * (k - a);
    b += 2;
    d = 1 / nonZero(share * d + b);
    c = nonZero(b + share / c);
    value *= d * c;
    if (Math.abs(d * c - 1) < Number.EPSILON) break;
  }
  return 1 - front * value;
}

/** ln Γ(x) for x > 0: Stirling's series 6.1.41 after moving x beyond 15. */
function logGamma(x: number): number {
  let shift = 1;
  let at = x;
  while (at < 15) shift *= at++;
  const inverse = 1 / at;
  const square = inverse * inverse;
  const series =
    inverse *
    (1 / 12 -
      square *
        (1 / 360 -
          square *
            (1 / 1260 - square * (1 / 1680 - square * (1 / 1188 - square * (691 / 360360))))));
  return (at - 0.5) * Math.log(at) - at + 0.5 * Math.log(2 * Math.PI) + series - Math.log(shift);
}

function nonZero(value: number): number {
  return Math.abs(value) < TINY ? TINY : value;
}
