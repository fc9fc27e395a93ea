import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { expect, test, vi } from 'vitest';
import type { Machine } from '../../src/machine/machine.js';
import { readMachine } from '../../src/machine/read-machine.js';
import { QUESTIONS } from '../../src/machine/write-questions.js';
import { changesOf, finishInit, openNotices, startInit } from '../../src/pipeline/init.js';

vi.setConfig({ testTimeout: 120_000 });

type Unit = 'mm' | 'in';
type Options = Record<string, string>;

/** Something typed, and what it means. */
interface Typed<T> {
  readonly typed: string;
  readonly means: T;
}

const INCH = 25.4;

/** A length between two, in mm, as people write them. */
function length(from: number, to: number, unit: Unit): fc.Arbitrary<Typed<number>> {
  const [size, decimals] = unit === 'mm' ? [1, 2] : [INCH, 4];
  const plain = fc
    .double({ min: from / size, max: to / size, noNaN: true })
    .map((value) => value.toFixed(decimals))
    // A comma before three digits might group thousands.
    .chain((digits) => fc.constantFrom(digits, digits.replace(/\.(?!\d{3}$)/, ',')))
    .map((typed) => ({ typed, means: Number(typed.replace(',', '.')) * size }));
  const metric = fc
    .double({ min: from, max: to, noNaN: true })
    .map((value) => ({ typed: `${value.toFixed(2)} mm`, means: Number(value.toFixed(2)) }));
  if (to - from < 10) return fc.oneof(plain, metric);
  const sixteenths = fc.integer({
    min: Math.ceil((from / INCH) * 16),
    max: Math.floor((to / INCH) * 16),
  });
  const fraction = sixteenths.map((count) => {
    const [whole, part] = [Math.floor(count / 16), count % 16];
    const text = part === 0 ? `${whole}` : whole === 0 ? `${part}/16` : `${whole} ${part}/16`;
    return { typed: `${text} in`, means: (count / 16) * INCH };
  });
  return fc.oneof(plain, metric, fraction);
}

/** Words in one line, with all that may trip a writer of TOML. */
const words = fc
  .string({
    unit: fc.oneof(
      fc.constantFrom(...'"\\#\'=[]{},ü€刃'),
      fc.constantFrom('𝄞', '🪚', '\u200d', 'a', '7'),
    ),
    maxLength: 12,
  })
  .map((text) => text.trim())
  .filter((text) => text !== '' && text !== '-');

const knives = fc.oneof(
  fc.integer({ min: 1, max: 9 }).map((count) => ({
    typed: `${count}`,
    means: Array.from({ length: count }, (_, index) => `${index + 1}`),
  })),
  fc
    .uniqueArray(
      fc.constantFrom(
        '1',
        '2',
        '007',
        '7',
        'A',
        'rot',
        'front knife',
        'x,y',
        'ü',
        '4"',
        'a\\b',
        '"',
      ),
      {
        minLength: 1,
        maxLength: 6,
      },
    )
    .map((means) => ({ typed: means.map((id) => JSON.stringify(id)).join(', '), means })),
);

function maybe<T>(arbitrary: fc.Arbitrary<T>): fc.Arbitrary<T | null> {
  return fc.option(arbitrary, { nil: null, freq: 2 });
}

const turns = fc.constantFrom(
  { typed: '1/16', means: 1 / 16 },
  { typed: '0.125', means: 1 / 8 },
  { typed: '22.5 deg', means: 1 / 16 },
  { typed: '0,25', means: 1 / 4 },
);

function adjusters(unit: Unit) {
  const common = {
    at: fc.tuple(length(10, 100, unit), length(200, 290, unit)),
    names: maybe(fc.constant(['left', 'right'] as const)),
  };
  const screw = fc.record({
    ...common,
    kind: fc.constant('screw' as const),
    thread: fc.constantFrom({ typed: 'M6', means: 1 }, { typed: '1/4-28', means: INCH / 28 }),
    raisedBy: fc.constantFrom('clockwise' as const, 'anticlockwise' as const),
    finestTurn: turns,
    lift: maybe(length(0.5, 2, unit)),
    approach: maybe(fc.constantFrom('raise' as const, 'lower' as const)),
  });
  const shim = fc.record({
    ...common,
    kind: fc.constant('shim' as const),
    stock: fc.constantFrom(
      {
        typed: '0.1 mm, 0.05 mm x 6',
        means: [
          { thickness: 0.1, count: null },
          { thickness: 0.05, count: 6 },
        ],
      },
      { typed: '2 thou', means: [{ thickness: 0.0508, count: null }] },
    ),
    most: maybe(fc.integer({ min: 1, max: 9 })),
  });
  return fc.oneof(screw, shim);
}

const machines = fc.constantFrom<Unit>('mm', 'in').chain((unit) =>
  fc.record({
    unit: fc.constant(unit),
    name: words,
    knives,
    diameter: length(50, 200, unit),
    length: length(300, 900, unit),
    speed: maybe(
      fc.constantFrom({ typed: '4500', means: 4500 }, { typed: '75 rev/s', means: 4500 }),
    ),
    feed: maybe(
      fc.constantFrom({ typed: '9,5 m/min', means: 9500 }, { typed: '30 ft/min', means: 9144 }),
    ),
    projection: maybe(
      fc.record({
        x: length(10, 290, unit),
        value: length(0.1, 0.5, unit),
        most: length(0.6, 2, unit),
      }),
    ),
    adjusters: adjusters(unit),
    repeatability: maybe(
      fc.oneof(length(0.01, 0.2, unit), fc.constant({ typed: 'unknown', means: null })),
    ),
    bedAt: maybe(length(10, 400, unit)),
    outfeed: maybe(fc.boolean()),
    tolerance: maybe(length(0.02, 0.4, unit)),
    contact: maybe(
      fc.constantFrom(
        { typed: 'point', kind: 'point', size: null },
        { typed: 'flat 2,5 mm', kind: 'flat', size: 2.5 },
      ),
    ),
    note: maybe(words),
  }),
);

type Described = typeof machines extends fc.Arbitrary<infer T> ? T : never;

/** What somebody types to describe a machine. */
function optionsFor(m: Described): Options {
  const { adjusters: a } = m;
  const all: Record<string, string | null | undefined> = {
    unit: m.unit,
    name: m.name,
    knives: m.knives.typed,
    'cutting-diameter': m.diameter.typed,
    'block-length': m.length.typed,
    'block-speed': m.speed?.typed,
    'feed-speed': m.feed?.typed,
    'max-projection': m.projection?.most.typed,
    'projection-knife': m.projection ? m.knives.means[0] : null,
    'projection-x': m.projection?.x.typed,
    'projection-value': m.projection?.value.typed,
    adjusters: a.kind,
    at: a.at.map(({ typed }) => typed).join('; '),
    'end-names': a.names?.join(', '),
    repeatability: m.repeatability?.typed,
    'bed-at': m.bedAt && `${m.bedAt.typed};`,
    outfeed: m.outfeed === null ? null : m.outfeed ? 'yes' : 'no',
    'knife-tolerance': m.tolerance?.typed,
    contact: m.contact?.typed,
    'set-note': m.note,
    ...(a.kind === 'screw'
      ? {
          thread: a.thread.typed,
          'raised-by': a.raisedBy,
          'finest-turn': a.finestTurn.typed,
          'lift-per-turn': a.lift?.typed,
          approach: a.approach,
        }
      : { stock: a.stock.typed, most: a.most === null ? null : `${a.most}` }),
  };
  return Object.fromEntries(
    Object.entries(all).flatMap(([key, typed]) => (typed == null ? [] : [[key, typed]])),
  );
}

/** The machine that was meant, its defaults as the machine file's own documentation gives them. */
function meant(m: Described): Omit<Machine, 'assumed'> {
  const { adjusters: a } = m;
  const ends = {
    at: a.at.map(({ means }) => means),
    names: a.names ?? (['front', 'back'] as const),
  };
  return {
    name: m.name,
    unit: m.unit,
    block: {
      knives: m.knives.means,
      cuttingDiameter: m.diameter.means,
      length: m.length.means,
      speed: m.speed?.means ?? null,
      maxSpeed: null,
      maxProjection: m.projection?.most.means ?? null,
      projection: m.projection && {
        knife: m.knives.means[0]!,
        x: m.projection.x.means,
        value: m.projection.value.means,
      },
      angles: null,
    },
    feedSpeed: m.feed?.means ?? null,
    adjusters:
      a.kind === 'screw'
        ? {
            ...ends,
            kind: 'screw',
            thread: a.thread.typed,
            pitch: a.thread.means,
            liftPerTurn: a.lift?.means ?? a.thread.means,
            raisedBy: a.raisedBy,
            finestTurn: a.finestTurn.means,
            turnSd: a.finestTurn.means / 6,
            approach: a.approach,
          }
        : { ...ends, kind: 'shim', stock: a.stock.means, most: a.most ?? 3 },
    bed: {
      repeatability: m.repeatability ? m.repeatability.means : 0.005,
      at: m.bedAt && [m.bedAt.means],
      thread: null,
      liftPerTurn: null,
    },
    set: m.note === null ? null : { name: null, edge: null, fitted: null, note: m.note },
    outfeedPresent: m.outfeed ?? false,
    tolerance: { knife: m.tolerance?.means ?? 0.05, bed: 0.1 },
    instrument: {
      resolution: 0.01,
      maxError: 0.02,
      readingSd: null,
      contact: m.contact && { kind: m.contact.kind as 'point' | 'flat', size: m.contact.size },
      reach: null,
    },
  };
}

/** Numbers to twelve digits, so that it does not matter in which order they were multiplied. */
function rounded(machine: unknown): unknown {
  return JSON.parse(
    JSON.stringify(machine, (key, value: unknown) => {
      if (key === 'assumed') return undefined;
      return typeof value === 'number' ? Number(value.toPrecision(12)) : value;
    }),
  );
}

test('whatever is answered stands in the file as it was meant', async () => {
  await fc.assert(
    fc.asyncProperty(machines, async (described) => {
      const { init, notices } = await startInit(optionsFor(described), null);
      expect(notices).toEqual([]);
      expect(await openNotices(init!)).toEqual([]);
      const { text, machine } = await finishInit(init!, 'm.toml');
      expect(rounded(machine)).toEqual(rounded(meant(described)));
      const again = await readMachine({ name: 'm.toml', content: new TextEncoder().encode(text!) });
      expect(again.machine).toEqual(machine);
      expect(text!.split('\n').filter((line) => line.startsWith('#') && line.length > 80)).toEqual(
        [],
      );
    }),
    { numRuns: 80 },
  );
});

test('a file that is corrected to another machine is that machine, and loses no comment', async () => {
  const files = ['thicknesser', 'inch-jointer', 'outfeed-planer', 'shims'].map((name) => {
    const text = readFileSync(`fixtures/machines/${name}.toml`, 'utf8');
    return text.replaceAll(/^(\w.*)$/gm, (line) => `${line} # about ${line.split(' ')[0]}`);
  });
  const chosen = fc.record({ text: fc.constantFrom(...files), described: machines });
  await fc.assert(
    fc.asyncProperty(chosen, async ({ text, described }) => {
      // Keys that are not described go, so that nothing of the old machine is left.
      const gone = Object.fromEntries(QUESTIONS.map(({ option }) => [option, '-']));
      const options = { ...gone, ...optionsFor(described) };
      const source = { name: 'm.toml', content: new TextEncoder().encode(text) };
      const { init, notices } = await startInit(options, source);
      expect(notices).toEqual([]);
      const finished = await finishInit(init!, 'm.toml');
      expect(finished.notices.filter(({ severity }) => severity === 'error')).toEqual([]);
      for (const comment of text.match(/#.*$/gm)!) expect(finished.text).toContain(comment);
      expect(rounded(finished.machine)).toEqual(rounded(meant(described)));
      const touched = changesOf(init!).map(({ key }) => key);
      const kept = text.split('\n').filter((line) => /^\w/.test(line));
      const untouched = kept.filter(
        (line) => !touched.some((key) => key.endsWith(line.split(' ')[0]!)),
      );
      for (const line of untouched) {
        if (!line.startsWith('projection')) expect(finished.text).toContain(line);
      }
    }),
    { numRuns: 50 },
  );
});

test('an existing file with nothing changed stays what it is, to the letter', async () => {
  for (const name of ['thicknesser', 'inch-jointer', 'outfeed-planer', 'shims']) {
    const content = readFileSync(`fixtures/machines/${name}.toml`);
    const { init } = await startInit({}, { name, content });
    expect(await openNotices(init!)).toEqual([]);
    expect((await finishInit(init!, name)).text).toBe(content.toString('utf8'));
  }
});

test('another unit leaves every length of the machine what it was', async () => {
  for (const name of ['thicknesser', 'inch-jointer', 'outfeed-planer', 'shims']) {
    const content = readFileSync(`fixtures/machines/${name}.toml`);
    const before = await readMachine({ name, content });
    const unit = before.machine!.unit === 'mm' ? 'in' : 'mm';
    const { init } = await startInit({ unit }, { name, content });
    const { machine } = await finishInit(init!, name);
    expect(rounded(machine)).toEqual(rounded({ ...before.machine, unit }));
  }
});
