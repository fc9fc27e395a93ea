import { type AST, getStaticTOMLValue, ParseError, parseTOML } from 'toml-eslint-parser';

/** Keys from the top of the file down to a value; a number is a place in an array. */
export type Path = readonly (string | number)[];

/** Counted from 1, as an editor counts. */
export interface Place {
  readonly line: number;
  readonly column: number;
}

interface Entry {
  readonly key: Place;
  readonly value: Place;
  readonly written: string;
}

/** A TOML file's values, and where each of them stands. */
export class TomlDocument {
  readonly value = emptyTable();
  readonly #entries = new Map<string, Entry>();
  readonly #text: string;

  constructor(text: string) {
    this.#text = text;
    const program = parseTOML(text);
    for (const node of program.body[0].body) {
      if (node.type === 'TOMLTable') this.#addTable(node);
      else this.#addKeyValue(node, []);
    }
  }

  /** Where a key stands; for one that is not there, the table it is missing from. */
  keyPlace(path: Path): Place {
    return this.#nearest(path)?.key ?? { line: 1, column: 1 };
  }

  /** Where a value stands; for one that is not there, the table it is missing from. */
  valuePlace(path: Path): Place {
    return this.#nearest(path)?.value ?? { line: 1, column: 1 };
  }

  /** A value as it stands in the file; null for one that is not there. */
  written(path: Path): string | null {
    return this.#entries.get(JSON.stringify(path))?.written ?? null;
  }

  #nearest(path: Path): Entry | undefined {
    const entry = this.#entries.get(JSON.stringify(path));
    return entry ?? (path.length === 0 ? undefined : this.#nearest(path.slice(0, -1)));
  }

  #add(path: Path, keyNode: AST.TOMLNode, valueNode: AST.TOMLNode): void {
    const name = JSON.stringify(path);
    if (this.#entries.has(name)) return;
    const written = this.#text.slice(...valueNode.range);
    this.#entries.set(name, { key: placeOf(keyNode), value: placeOf(valueNode), written });
  }

  #put(path: Path, value: unknown): void {
    let holder: Holder = this.value;
    path.slice(0, -1).forEach((key, depth) => {
      holder[key] ??= typeof path[depth + 1] === 'number' ? [] : emptyTable();
      holder = holder[key] as Holder;
    });
    holder[path.at(-1)!] ??= value;
  }

  #addTable(table: AST.TOMLTable): void {
    this.#add(table.resolvedKey, table, table.key);
    this.#put(table.resolvedKey, emptyTable());
    for (const pair of table.body) this.#addKeyValue(pair, table.resolvedKey);
  }

  #addKeyValue(pair: AST.TOMLKeyValue, above: Path): void {
    const keys = getStaticTOMLValue(pair.key);
    // A dotted key opens the tables on its way.
    for (let depth = 1; depth < keys.length; depth++) {
      this.#add([...above, ...keys.slice(0, depth)], pair.key, pair.key);
    }
    this.#addValue([...above, ...keys], pair.key, pair.value);
  }

  #addValue(path: Path, keyNode: AST.TOMLNode, node: AST.TOMLContentNode): void {
    this.#add(path, keyNode, node);
    if (node.type === 'TOMLInlineTable') {
      this.#put(path, emptyTable());
      for (const pair of node.body) this.#addKeyValue(pair, path);
    } else if (node.type === 'TOMLArray') {
      this.#put(path, []);
      node.elements.forEach((element, index) => {
        this.#addValue([...path, index], element, element);
      });
    } else {
      this.#put(path, node.value);
    }
  }
}

type Holder = Record<string | number, unknown>;

/** Without a prototype: a file's own `__proto__` or `constructor` is a key like any other. */
function emptyTable(): Record<string, unknown> {
  return Object.create(null);
}

function placeOf(node: AST.TOMLNode): Place {
  return { line: node.loc.start.line, column: node.loc.start.column + 1 };
}

/** A TOML text's document, or its first fault of syntax. */
export function parseDocument(
  text: string,
): { readonly document: TomlDocument } | { readonly problem: string; readonly place: Place } {
  try {
    return { document: new TomlDocument(text) };
  } catch (error) {
    if (error instanceof RangeError) {
      return { problem: 'brackets are nested too deeply', place: { line: 1, column: 1 } };
    }
    if (!(error instanceof ParseError)) throw error;
    return {
      problem: error.message,
      place: { line: error.lineNumber, column: error.column + 1 },
    };
  }
}
