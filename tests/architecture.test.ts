import { execFileSync } from 'node:child_process';
import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';
import { parseAst } from 'vitest/node';

const root = fileURLToPath(new URL('..', import.meta.url));

/** Which rooms a room may import from: what runs, and what only types say. */
interface Rule {
  readonly values: readonly string[];
  readonly types: readonly string[];
}

const EVERYTHING = [
  'units',
  'notices',
  'machine',
  'boards',
  'model',
  'fit',
  'decide',
  'diagnose',
  'plan',
  'record',
  'sheet',
  'report',
  'pipeline',
];
/** What readings, rows and estimates are made of. */
const JUDGING: Rule = {
  values: ['model', 'fit'],
  types: ['model', 'fit', 'machine', 'boards', 'units', 'notices'],
};
const RULES: Readonly<Record<string, Rule>> = {
  units: { values: [], types: [] },
  notices: { values: [], types: [] },
  machine: { values: ['units', 'notices'], types: ['units', 'notices'] },
  boards: { values: ['units', 'notices'], types: ['units', 'notices', 'machine'] },
  model: { values: ['machine', 'boards', 'units'], types: ['machine', 'boards', 'units'] },
  fit: { values: ['notices'], types: ['notices'] },
  decide: JUDGING,
  diagnose: JUDGING,
  plan: JUDGING,
  record: { values: [], types: EVERYTHING },
  sheet: { values: ['units', 'boards', 'model', 'fit'], types: EVERYTHING },
  page: { values: ['sheet', 'units'], types: EVERYTHING },
  report: { values: ['units'], types: EVERYTHING },
  pipeline: { values: EVERYTHING, types: EVERYTHING },
  cli: { values: ['pipeline', 'report', 'notices'], types: EVERYTHING },
};

type Node = { readonly type: string } & Readonly<Record<string, unknown>>;

interface Import {
  readonly from: string;
  readonly isType: boolean;
  readonly names: readonly string[];
}

function isNode(value: unknown): value is Node {
  return typeof value === 'object' && value !== null && 'type' in value;
}

function nodesOf(node: Node): Node[] {
  const inside = Object.values(node).flat().filter(isNode);
  return [node, ...inside.flatMap(nodesOf)];
}

function nodesOfFile(path: string): Node[] {
  const text = readFileSync(join(root, path), 'utf8');
  return nodesOf(parseAst(text, { lang: 'ts' }, path) as unknown as Node);
}

/** Static imports, re-exports, dynamic imports and imports within types. */
function importsOf(nodes: readonly Node[]): Import[] {
  const sources = nodes.filter(
    ({ type, source }) => source && /^(Import|Export|TSImport)/.test(type),
  );
  return sources.map((node) => {
    const specifiers = (node.specifiers ?? []) as Node[];
    const areTypes =
      specifiers.length > 0 &&
      specifiers.every((each) => each.importKind === 'type' || each.exportKind === 'type');
    return {
      from: String((node.source as Node).value),
      isType:
        areTypes ||
        [node.importKind, node.exportKind].includes('type') ||
        node.type === 'TSImportType',
      names: specifiers.map((each) => String((each.imported as Node | undefined)?.name)),
    };
  });
}

function sourcesUnder(folder: string): string[] {
  return readdirSync(join(root, folder), { withFileTypes: true, recursive: true })
    .filter((entry) => entry.isFile())
    .map((entry) => relative(root, join(entry.parentPath, entry.name)));
}

const files = sourcesUnder('src').map((path) => {
  const nodes = nodesOfFile(path);
  return { path, nodes, imports: importsOf(nodes), room: roomOf(path) };
});

/** `src/cli/main.ts` is of the room cli, `src/index.ts` of none. */
function roomOf(path: string): string {
  const [, room, ...rest] = path.split('/');
  return rest.length > 0 ? room! : '';
}

const own = files.flatMap(({ path, room, imports }) =>
  imports
    .filter(({ from }) => from.startsWith('.'))
    .map((each) => {
      const target = join(dirname(path), each.from);
      return { path, room, target, ...each, to: roomOf(target) };
    }),
);

test('the reader of imports is fooled neither by types, nor by texts, nor by what is written late', () => {
  const text = [
    "import type { A } from './a.js';",
    "import { type B, type C } from './b.js';",
    "import { type D, e } from './d.js';",
    "export * from './f.js';",
    "export type { G } from './g.js';",
    "// import './comment.js'",
    "const text = `import './text.js'`;",
    "const late = await import('./late.js');",
    "type Far = import('./far.js').Far;",
    "import './bare.js';",
  ].join('\n');
  const found = importsOf(nodesOf(parseAst(text, { lang: 'ts' }, 'x.ts') as unknown as Node));
  expect(found.map(({ from, isType }) => [from, isType])).toEqual([
    ['./a.js', true],
    ['./b.js', true],
    ['./d.js', false],
    ['./f.js', false],
    ['./g.js', true],
    ['./late.js', false],
    ['./far.js', true],
    ['./bare.js', false],
  ]);
});

test('every room is one of the rooms, and outside them stands the library alone', () => {
  const rooms = new Set(files.map(({ room }) => room).filter((room) => room !== ''));
  expect([...rooms].filter((room) => !(room in RULES))).toEqual([]);
  expect(files.filter(({ room }) => room === '').map(({ path }) => path)).toEqual(['src/index.ts']);
});

test.each(Object.entries(RULES))('%s imports only what it may', (room, rule) => {
  const strangers = own.filter(
    (each) =>
      each.room === room &&
      each.to !== room &&
      !(each.isType ? rule.types : rule.values).includes(each.to),
  );
  expect(
    strangers.map(({ path, target, isType }) => `${path}: ${isType ? 'type of ' : ''}${target}`),
  ).toEqual([]);
});

test('every import of ours stays within src and names a file that is there', () => {
  const there = new Set(files.map(({ path }) => path.replace(/\.ts$/, '.js')));
  expect(own.filter(({ target }) => !there.has(target))).toEqual([]);
});

test('the library re-exports and does nothing else, and nothing of the program', () => {
  const { nodes, imports } = files.find(({ path }) => path === 'src/index.ts')!;
  const statements = (nodes[0]!.body as Node[]).filter(({ source }) => !source);
  expect(statements).toEqual([]);
  expect(imports.filter(({ from }) => from.startsWith('./cli/'))).toEqual([]);
});

test('only the program imports what is of the machine it runs on', () => {
  const ofNode = files
    .filter(({ room }) => room !== 'cli')
    .flatMap(({ path, imports }) =>
      imports
        .filter(({ from }) =>
          /^(node:|fs|path|os|process|util|child_process|readline|tty)/.test(from),
        )
        .map(({ from, names }) => `${path}: ${from} ${names.join()}`),
    );
  expect(ofNode).toEqual(['src/report/paint.ts: node:util styleText']);
});

test('only the program and the page use what is around them and the clock, and nothing uses chance', () => {
  const used = files.flatMap(({ path, room, nodes }) =>
    nodes
      .map((node) => ambient(node))
      .filter((name) => name !== null && (!OUTERMOST.includes(room) || name === 'Math.random'))
      .map((name) => `${path}: ${name}`),
  );
  expect(used).toEqual([]);
});

/** Rooms that stand between ours and what is around them. */
const OUTERMOST = ['cli', 'page'];

/** What a node takes from its surroundings: process, console, timers, the time of day, chance. */
function ambient(node: Node): string | null {
  if (node.type === 'NewExpression' || node.type === 'CallExpression') {
    const callee = (node.callee as Node).name as string;
    const asksTime = callee === 'Date' && (node.arguments as Node[]).length === 0;
    if (asksTime) return 'Date()';
    return /^(setTimeout|setInterval|setImmediate|fetch)$/.test(callee) ? callee : null;
  }
  if (node.type !== 'MemberExpression') return null;
  const object = (node.object as Node).name as string;
  const name = `${object}.${(node.property as Node).name}`;
  if (/^(process|console|performance|globalThis)$/.test(object)) return name;
  return /^(Date\.now|Math\.random)$/.test(name) ? name : null;
}

const tracked = execFileSync('git', ['ls-files', '-z'], { cwd: root, encoding: 'utf8' })
  .split('\0')
  .filter((path) => path !== '');

test('the top level holds what it should and nothing else', () => {
  const allowed = [
    'DEVELOPERS.md',
    'LICENSE',
    'README.md',
    'fixtures',
    'notebooks',
    'package-lock.json',
    'package.json',
    'src',
    'tests',
    'tsconfig.json',
  ];
  const top = new Set(tracked.map((path) => path.split('/')[0]!));
  const strange = [...top].filter((name) => !name.startsWith('.') && !allowed.includes(name));
  expect(strange).toEqual([]);
});

test('every folder of fixtures says where its files come from', () => {
  const folders = new Set(
    tracked.filter((path) => path.startsWith('fixtures/')).map((path) => path.split('/')[1]!),
  );
  const silent = [...folders].filter((name) => !tracked.includes(`fixtures/${name}/SOURCE.md`));
  expect(silent).toEqual([]);
});

test('no file speaks of the place where it was written', () => {
  const words = [
    /\/work\//,
    /\/(home|Users)\/\w+/,
    /seed[ ]document/i,
    /\b(contract|model|style)\.md\b/,
    /registry\.npm/,
    /\bissue #?\d/i,
  ];
  const found = tracked
    .map((path) => ({ path, text: readFileSync(join(root, path), 'latin1') }))
    .flatMap(({ path, text }) =>
      words.filter((word) => word.test(text)).map((word) => `${path}: ${word}`),
    );
  expect(found).toEqual([]);
});
