/** A record as JSON for machines: two spaces deep, a newline at the end, never −0. */
export function toJson(record: unknown): string {
  return `${JSON.stringify(record, (_, value: unknown) => (Object.is(value, -0) ? 0 : value), 2)}\n`;
}
