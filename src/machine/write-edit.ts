import { type AST, getStaticTOMLValue, parseTOML } from 'toml-eslint-parser';
import { keyText } from './write-literal.js';

type Pair = AST.TOMLKeyValue;

/** A pair with its key from the top of the file. */
interface Placed {
  readonly path: readonly string[];
  readonly pair: Pair;
}

/**
 * A TOML text with one key set or taken out; everything else, comments and order, stays as it is. What is
 * taken out stays as a comment where it stood on lines of its own.
 *
 * @param path keys from the top of the file
 * @param literal the value as TOML writes it; null takes the key out
 * @returns a text that need not be TOML where the file is laid out so that the key has no place in it
 */
export function withKey(text: string, path: readonly string[], literal: string | null): string {
  const program = parseTOML(text);
  const found = pairsOf(program).find((each) => isSame(each.path, path));
  if (found && literal !== null) return spliced(text, found.pair.value.range, literal);
  if (found) return withoutPair(text, found.pair);
  const tables = tablesOf(program).filter((table) =>
    startsWith(table.resolvedKey.map(String), path),
  );
  const rest = tables
    .toReversed()
    .reduce((before, table) => commentedOut(before, table.range), text);
  return literal === null ? rest : withPair(rest, path, literal);
}

function tablesOf(program: AST.TOMLProgram): AST.TOMLTable[] {
  return program.body[0].body.filter((node) => node.type === 'TOMLTable');
}

/** Every pair of a file, those within inline tables too. */
function pairsOf(program: AST.TOMLProgram): Placed[] {
  return program.body[0].body.flatMap((node) =>
    node.type === 'TOMLTable'
      ? node.body.flatMap((pair) => placed(pair, node.resolvedKey.map(String)))
      : placed(node, []),
  );
}

function placed(pair: Pair, above: readonly string[]): Placed[] {
  const path = [...above, ...getStaticTOMLValue(pair.key)];
  const inner =
    pair.value.type === 'TOMLInlineTable'
      ? pair.value.body.flatMap((each) => placed(each, path))
      : [];
  return [{ path, pair }, ...inner];
}

function isSame(one: readonly string[], other: readonly string[]): boolean {
  return one.length === other.length && startsWith(one, other);
}

function startsWith(path: readonly string[], start: readonly string[]): boolean {
  return start.every((key, depth) => path[depth] === key);
}

function spliced(text: string, [from, to]: AST.Range, put: string): string {
  return text.slice(0, from) + put + text.slice(to);
}

function withoutPair(text: string, pair: Pair): string {
  const { parent } = pair;
  if (parent.type !== 'TOMLInlineTable') return commentedOut(text, pair.range);
  const at = parent.body.indexOf(pair);
  const [before, after] = [parent.body[at - 1], parent.body[at + 1]];
  if (after) return spliced(text, [pair.range[0], after.range[0]], '');
  return spliced(text, [before?.range[1] ?? pair.range[0], pair.range[1]], '');
}

/** The lines of a range, each with a # in front. */
function commentedOut(text: string, [from, to]: AST.Range): string {
  const start = text.lastIndexOf('\n', from - 1) + 1;
  const lines = text.slice(start, to).split('\n');
  const marked = lines.map((line) => (/^\s*(#|$)/.test(line) ? line : `# ${line}`));
  return spliced(text, [start, to], marked.join('\n'));
}

function withPair(text: string, path: readonly string[], literal: string): string {
  const program = parseTOML(text);
  const parent = path.slice(0, -1);
  const pair = `${keyText(path.at(-1)!)} = ${literal}`;
  const newline = text.includes('\r\n') ? '\r\n' : '\n';
  if (parent.length === 0) return `${pair}${newline}${text}`;
  const pairs = pairsOf(program);
  const inline = pairs.find((each) => isSame(each.path, parent))?.pair.value;
  if (inline?.type === 'TOMLInlineTable') return intoInlineTable(text, inline, pair);
  const table = tablesOf(program).find((each) => isSame(each.resolvedKey.map(String), parent));
  if (table) return newLine(text, (table.body.at(-1) ?? table.key).range[1], pair, newline);
  const dotted = pairs.filter((each) => ownKeys(each, parent) > 0).at(-1);
  if (dotted) return besideDotted(text, dotted, parent, pair, newline);
  const gap = text === '' || text.endsWith('\n') ? '' : newline;
  return `${text}${gap}${newline}[${parent.map(keyText).join('.')}]${newline}${pair}${newline}`;
}

function intoInlineTable(text: string, table: AST.TOMLInlineTable, pair: string): string {
  const last = table.body.at(-1);
  if (!last) return spliced(text, table.range, `{ ${pair} }`);
  return spliced(text, [last.range[1], last.range[1]], `, ${pair}`);
}

/** A line below the one in which a place is. */
function newLine(text: string, at: number, line: string, newline: string): string {
  const end = text.indexOf('\n', at);
  if (end < 0) return `${text}${newline}${line}${newline}`;
  return spliced(text, [end + 1, end + 1], `${line}${newline}`);
}

/** How many of a pair's own dotted keys lead to a table: none where a header above it does. */
function ownKeys({ path, pair }: Placed, table: readonly string[]): number {
  if (!startsWith(path, table)) return 0;
  return pair.key.keys.length - (path.length - table.length);
}

/** Beside `adjusters.at = ...` a further key of the table is written as that one is. */
function besideDotted(
  text: string,
  sibling: Placed,
  parent: readonly string[],
  pair: string,
  newline: string,
): string {
  const { keys } = sibling.pair.key;
  const last = keys[ownKeys(sibling, parent) - 1]!;
  const prefix = text.slice(keys[0]!.range[0], last.range[1]);
  return newLine(text, sibling.pair.range[1], `${prefix}.${pair}`, newline);
}
