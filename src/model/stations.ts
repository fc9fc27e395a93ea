/** Stations closer than this share of the span are one station. */
const SAME_STATION = 0.01;

/** x of the stations among readings: positions closer than a hundredth of the span are one. */
export function stationsOf(readings: readonly { readonly x: number }[], span: number): number[] {
  const stations: number[] = [];
  for (const x of readings.map((reading) => reading.x).sort((a, b) => a - b)) {
    const last = stations.at(-1);
    if (last === undefined || x - last > SAME_STATION * span) stations.push(x);
  }
  return stations;
}
