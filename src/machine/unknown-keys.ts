import { closest, distance } from 'fastest-levenshtein';
import type { Problem } from './problem.js';
import type { Path } from './toml.js';

/** What there is to know of a schema here: its keys, or what it wraps, lists or chooses. */
interface Shape {
  readonly entries?: Readonly<Record<string, Shape>>;
  readonly wrapped?: Shape;
  readonly item?: Shape;
  readonly getter?: (input: unknown) => Shape;
}

/** Keys that the schema does not have, each with the nearest one that it has. */
export function unknownKeys(value: unknown, schema: unknown): Problem[] {
  const root = schema as Shape;
  return walk(value, root, []).map((path) => problemOf(path, root));
}

function walk(value: unknown, shape: Shape | undefined, path: Path): Path[] {
  if (shape?.wrapped) return walk(value, shape.wrapped, path);
  if (shape?.getter) return walk(value, shape.getter(value), path);
  if (Array.isArray(value)) {
    return value.flatMap((element, index) => walk(element, shape?.item, [...path, index]));
  }
  const { entries } = shape ?? {};
  if (!entries || typeof value !== 'object' || value === null) return [];
  return Object.entries(value).flatMap(([key, inner]) => {
    const here = [...path, key];
    return Object.hasOwn(entries, key) ? walk(inner, entries[key], here) : [here];
  });
}

function problemOf(path: Path, root: Shape): Problem {
  const hint = hintFor(String(path.at(-1)), keysAt(root, path.slice(0, -1)), root);
  return { code: 'unknown-key', path, message: 'is not a key known here', hint, atKey: true };
}

function hintFor(key: string, siblings: readonly string[], root: Shape): string {
  const homes = homesOf(key, root);
  if (homes.length > 0) return `${key} belongs ${homes.join(' or ')}.`;
  const near = nearest(key, siblings);
  return near === null ? `Known here: ${siblings.join(', ')}.` : `Did you mean ${near}?`;
}

function keysAt(shape: Shape | undefined, path: Path): string[] {
  const [key, ...rest] = path;
  if (shape?.wrapped) return keysAt(shape.wrapped, path);
  // The keys of a list's element are those of its table.
  if (shape?.getter) return keysAt(shape.getter({}), path);
  if (typeof key === 'number') return keysAt(shape?.item, rest);
  if (key === undefined) return Object.keys(shape?.entries ?? {});
  return keysAt(shape?.entries?.[key], rest);
}

/** Nearer than a third of the word, apart from case and separators. */
function nearest(key: string, known: readonly string[]): string | null {
  const plain = key.toLowerCase().replaceAll(/[-\s]/g, '_');
  if (known.length === 0) return null;
  const best = closest(plain, known);
  return distance(plain, best) <= Math.floor(key.length / 3) ? best : null;
}

/** Where else in the file that very key is known. */
function homesOf(key: string, root: Shape): string[] {
  const top = keysAt(root, []);
  const tables = top.filter((table) => keysAt(root, [table]).includes(key));
  const homes = tables.map((table) => `under [${table}]`);
  return top.includes(key) ? ['at the top of the file', ...homes] : homes;
}
