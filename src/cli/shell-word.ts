/** A name as a shell takes it for one word, in quotes only where it needs them. */
export function shellWord(name: string): string {
  return /^[\w./:@%+-]+$/.test(name) ? name : `'${name.replaceAll("'", `'\\''`)}'`;
}
