import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { expect, test, vi } from 'vitest';
import { finishInit, openNotices, startInit } from '../../src/pipeline/init.js';
import { answerStep, askingOf, nextStep, startDialogue } from '../../src/pipeline/init-dialogue.js';

vi.setConfig({ testTimeout: 120_000 });

const FILES = ['thicknesser', 'inch-jointer', 'outfeed-planer', 'shims'].map((name) =>
  readFileSync(`fixtures/machines/${name}.toml`, 'utf8'),
);

const piece = fc.oneof(
  fc.string({ maxLength: 3 }),
  fc.constantFrom(
    '"',
    '[',
    ']',
    '=',
    '\n',
    '-',
    '0',
    ',',
    '.',
    '{',
    '}',
    '#',
    'nan',
    '"""',
    '[[set]]',
  ),
);

/** A machine file with some characters changed. */
const damagedFile = fc
  .record({
    text: fc.constantFrom(...FILES),
    at: fc.nat(800),
    gone: fc.nat(6),
    put: piece,
  })
  .map(({ text, at, gone, put }) => text.slice(0, at) + put + text.slice(at + gone));

function source(text: string) {
  return { name: 'm.toml', content: new TextEncoder().encode(text) };
}

test('a damaged file is corrected to one that reads, or refused in words', async () => {
  const options = {
    name: 'x',
    knives: 'A B',
    'cutting-diameter': '120',
    'block-length': '900',
    at: '30, 280',
  };
  await fc.assert(
    fc.asyncProperty(damagedFile, async (text) => {
      const { init, notices } = await startInit(options, source(text));
      const open = init ? await openNotices(init) : notices;
      if (!init || open.length > 0) {
        for (const { message, severity } of open)
          expect([message, severity]).toEqual([expect.stringMatching(/\w/), 'error']);
        return;
      }
      const finished = await finishInit(init, 'm.toml');
      const errors = finished.notices.filter(({ severity }) => severity === 'error');
      expect(finished.text === null).toBe(errors.length > 0);
      if (finished.text !== null) expect(finished.machine!.block.knives).toEqual(['A', 'B']);
    }),
    { numRuns: 150 },
  );
});

/** What a tired machinist may type. */
const line = fc.oneof(
  { weight: 4, arbitrary: fc.constantFrom('', '', '<', '-', 'y', 'n', 'back') },
  {
    weight: 6,
    arbitrary: fc.constantFrom(
      '120',
      '520',
      '40, 480',
      'M6',
      '1/16',
      'cw',
      '4',
      'A B',
      '1',
      '9 m/min',
      'shim',
      'screw',
      'in',
      '0.05',
      '3 3/4 in',
      'unknown',
      '0,5',
      '4500 rpm',
      'flat 3 mm',
      '60, 460',
      '0, 180',
    ),
  },
  { weight: 1, arbitrary: fc.string({ maxLength: 8 }) },
);

test('whatever is typed, the dialogue goes on, and what it ends with reads', async () => {
  const begin = fc.option(damagedFile, { nil: null });
  await fc.assert(
    fc.asyncProperty(
      begin,
      fc.array(line, { minLength: 20, maxLength: 120 }),
      async (text, lines) => {
        const { init } = await startInit({}, text === null ? null : source(text));
        if (!init) return;
        let dialogue = startDialogue(init);
        for (const typed of lines) {
          const step = await nextStep(dialogue);
          if (!step) break;
          const asking = await askingOf(step, dialogue);
          expect(asking.kind).toBe(step.kind);
          const { dialogue: next, said } = await answerStep(dialogue, step, typed);
          // An answer that is not taken is always spoken of.
          if (next.asked === dialogue.asked) expect(said.length).toBeGreaterThan(0);
          dialogue = next;
        }
        if ((await nextStep(dialogue)) !== null) return;
        expect(await openNotices(dialogue.init)).toEqual([]);
        const { text: made, notices } = await finishInit(dialogue.init, 'm.toml');
        expect(notices.filter(({ severity }) => severity === 'error')).toEqual([]);
        expect(made).not.toBeNull();
      },
    ),
    { numRuns: 120 },
  );
});
