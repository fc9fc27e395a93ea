/** The share of items of which something holds, 0 to 1; not a number where there are none. */
export function share<T>(items: readonly T[], holds: (item: T) => boolean): number {
  return items.length === 0 ? Number.NaN : items.filter(holds).length / items.length;
}

/** The middle of all values; not a number where there are none. */
export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = Math.floor(sorted.length / 2);
  if (sorted.length === 0) return Number.NaN;
  return sorted.length % 2 === 1 ? sorted[middle]! : (sorted[middle - 1]! + sorted[middle]!) / 2;
}
