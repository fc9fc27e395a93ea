/** A seeded stream of pseudo-random numbers: the same seed gives the same workshop. */
export interface Random {
  /** Uniform in [0, 1). */
  uniform(): number;
  /** Normal with mean 0. */
  normal(sd: number): number;
  /** One of the items, each equally likely. */
  pick<T>(items: readonly T[]): T;
}

/** Chris Doty-Humphrey's small fast counting generator with 32-bit words (public domain). */
export function seeded(seed: number): Random {
  let a = seed | 0;
  let b = 0x9e3779b9 | 0;
  let c = 0x243f6a88 | 0;
  let counter = 1;
  const next = () => {
    const word = (((a + b) | 0) + counter) | 0;
    counter = (counter + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = (((c << 21) | (c >>> 11)) + word) | 0;
    return word >>> 0;
  };
  // Neighbouring seeds start alike; a few rounds part them.
  for (let i = 0; i < 15; i++) next();
  const uniform = () => next() / 2 ** 32;
  return {
    uniform,
    normal: (sd) =>
      sd * Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform()),
    pick: (items) => items[Math.floor(uniform() * items.length)]!,
  };
}
