/** Places closer than this share of the span are one station. */
const SAME_STATION = 0.01;

/**
 * Readings by station, front first: those within a hundredth of the span of the first of them.
 *
 * @param span between the outer adjusters, mm
 */
export function stationGroups<R extends { readonly x: number }>(
  readings: readonly R[],
  span: number,
): R[][] {
  const stations: R[][] = [];
  for (const reading of readings.toSorted((a, b) => a.x - b.x)) {
    const last = stations.at(-1);
    if (last && reading.x - last[0]!.x <= SAME_STATION * span) last.push(reading);
    else stations.push([reading]);
  }
  return stations;
}

/** x of the stations among readings, each that of its first reading. */
export function stationsOf(readings: readonly { readonly x: number }[], span: number): number[] {
  return stationGroups(readings, span).map(([first]) => first!.x);
}
