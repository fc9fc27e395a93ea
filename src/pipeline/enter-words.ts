/** A word that is no thickness but says what to do. */
export type Command =
  | { readonly word: 'help' | 'stop' | 'keep' | 'skip' | 'clear' | 'back' }
  | { readonly word: 'go'; readonly to: string };

const WORDS: ReadonlyMap<string, 'help' | 'stop' | 'keep' | 'skip' | 'clear' | 'back'> = new Map([
  ...(['help', '?', 'h'] as const).map((name) => [name, 'help'] as const),
  ...(['stop', 'quit', 'exit', 'q'] as const).map((name) => [name, 'stop'] as const),
  ...(['keep', 'k'] as const).map((name) => [name, 'keep'] as const),
  ...(['skip', 's'] as const).map((name) => [name, 'skip'] as const),
  ['clear', 'clear'],
  ...(['back', 'b'] as const).map((name) => [name, 'back'] as const),
]);

/** The command in a line, case-blind; null where it is none. */
export function readCommand(line: string): Command | null {
  const text = line.trim().toLowerCase();
  const word = WORDS.get(text);
  if (word) return { word };
  const to = /^go\s+(?:to\s+)?(.+)$/.exec(text)?.[1];
  return to === undefined ? null : { word: 'go', to };
}
