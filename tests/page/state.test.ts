import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  again,
  back,
  countMeasured,
  disagreeing,
  erase,
  freshState,
  isFinished,
  jump,
  keep,
  resume,
  type SheetState,
  type Step,
  skip,
  takeTries,
  type,
} from '../../src/page/state.js';
import { sheetData } from './sheet-data.js';

const sheet = sheetData();
const all = sheet.places.length;

/** Readings typed one after another; every one must be taken. */
function typed(readings: readonly string[], from: SheetState = freshState(sheet)): SheetState {
  return readings.reduce((state, text) => {
    const step = type(sheet, state, text);
    expect(step.outcome.kind).toBe('taken');
    return step.state;
  }, from);
}

const cells = ({ entries }: SheetState) => entries.map((entry) => entry?.cell ?? null);
const ALIKE = Array.from({ length: all }, (_, i) => (20 + (i % 3) / 100).toFixed(2));

describe('typing', () => {
  test('takes a reading as it was typed and goes on to the next place', () => {
    const { state, outcome } = type(sheet, freshState(sheet), ' 20,10 ');
    expect(outcome).toEqual({ kind: 'taken', index: 0, cell: '20.10' });
    expect(state.at).toBe(1);
    expect(state.entries[0]).toEqual({ thickness: 20.1, cell: '20.10', isKept: false });
  });

  test.each(['', '  ', '\r\n'])('%j is nothing typed and changes nothing', (text) => {
    const before = typed(['20.05']);
    expect(type(sheet, before, text)).toEqual({
      state: before,
      outcome: { kind: 'nothing-typed' },
    });
  });

  test.each(['abc', '2005', '0', '-20.05', '20.0.5'])('%j is refused in words', (text) => {
    const before = typed(['20.05']);
    const { state, outcome } = type(sheet, before, text);
    expect(state).toBe(before);
    expect(outcome).toMatchObject({ kind: 'refused', problem: expect.stringMatching(/\w{3}/) });
  });

  test('after the last place comes the first that was left out, and after all of them the end', () => {
    const skipped = skip(skip(freshState(sheet)).state).state;
    const last = typed(ALIKE.slice(2), skipped);
    expect(last.at).toBe(0);
    const end = typed(ALIKE.slice(0, 2), last);
    expect(isFinished(end)).toBe(true);
    expect(cells(end)).toEqual(ALIKE);
    expect(type(sheet, end, '20.05')).toEqual({ state: end, outcome: { kind: 'nothing-typed' } });
  });

  test('at a place that has a reading replaces it', () => {
    const state = typed(['20.02'], jump(typed(ALIKE.slice(0, 6)), 2).state);
    expect(cells(state).slice(0, 6)).toEqual([...ALIKE.slice(0, 2), '20.02', ...ALIKE.slice(3, 6)]);
    expect(state.at).toBe(6);
  });
});

describe('a reading that disagrees', () => {
  const before = typed(ALIKE.slice(0, 10));
  const asked = type(sheet, before, '20.51');

  test('waits for an answer, and what it disagrees with is told', () => {
    expect(asked.outcome).toMatchObject({ kind: 'questioned', before: null });
    expect(asked.state).toEqual({ ...before, questioned: { thickness: 20.51, cell: '20.51' } });
    if (asked.outcome.kind !== 'questioned') return;
    const { expected, off } = asked.outcome.doubt;
    expect(expected).toBeCloseTo(20.01, 1);
    expect(expected + off).toBeCloseTo(20.51, 9);
  });

  test('is taken by Keep, and known as kept', () => {
    const { state, outcome } = keep(asked.state);
    expect(outcome).toEqual({ kind: 'taken', index: 10, cell: '20.51' });
    expect(state.entries[10]).toEqual({ thickness: 20.51, cell: '20.51', isKept: true });
    expect(state).toMatchObject({ at: 11, questioned: null });
    expect(disagreeing(sheet, state)).toEqual([]);
  });

  test('is forgotten by Measure again, by another reading that agrees, and by going elsewhere', () => {
    expect(again(asked.state).state).toEqual(before);
    expect(typed(['20.01'], asked.state).entries[10]).toMatchObject({
      cell: '20.01',
      isKept: false,
    });
    for (const move of [back, skip, (state: SheetState) => jump(state, 3)]) {
      expect(move(asked.state).state).toMatchObject({ questioned: null, entries: before.entries });
    }
  });

  test('is questioned again when it comes again, with the time before', () => {
    const twice = type(sheet, asked.state, '20.50');
    expect(twice.outcome).toMatchObject({ kind: 'questioned', before: { cell: '20.51' } });
    expect(keep(twice.state).state.entries[10]).toMatchObject({ cell: '20.50' });
  });

  test('is asked about again when the sheet is taken up again', () => {
    expect(resume(sheet, asked.state)).toEqual(asked);
    const elsewhere = { ...asked.state, entries: asked.state.entries.map(() => null) };
    expect(resume(sheet, elsewhere).state.questioned).toBeNull();
  });

  test('and nothing is kept where nothing is in question', () => {
    expect(keep(before).state).toBe(before);
  });

  test('is found afterwards where nothing spoke against it at first', () => {
    const wrong = type(sheet, freshState(sheet), '23.01').state;
    let state = wrong;
    for (const text of ALIKE.slice(1)) {
      const step = type(sheet, state, text);
      state = step.outcome.kind === 'questioned' ? keep(step.state).state : step.state;
    }
    expect(disagreeing(sheet, state)).toContain(0);
  });
});

describe('three tries a scoop', () => {
  const trying = takeTries(freshState(sheet), true).state;

  test.each([
    [['20.05', '20.07', '20.06']],
    [['20.07', '20.05', '20.06']],
    [['20.07', '20.06', '20.05']],
    [['20.05', '20.05', '20.05']],
  ])('of %s the smallest is taken with the last', (tries) => {
    const steps: Step[] = [];
    for (const text of tries) steps.push(type(sheet, steps.at(-1)?.state ?? trying, text));
    expect(steps.map(({ outcome }) => outcome)).toEqual([
      { kind: 'tried', cell: tries[0], count: 1 },
      { kind: 'tried', cell: tries[1], count: 2 },
      { kind: 'taken', index: 0, cell: '20.05' },
    ]);
    expect(steps.at(-1)!.state).toMatchObject({ tries: [], at: 1 });
  });

  test('what is no reading, or nothing, is no try', () => {
    const one = type(sheet, trying, '20.05').state;
    expect(type(sheet, one, '').state).toBe(one);
    expect(type(sheet, one, 'x').state).toBe(one);
  });

  test('begin again where somebody goes elsewhere, says so, or wants none', () => {
    const two = type(sheet, type(sheet, trying, '20.05').state, '20.06').state;
    for (const { state } of [again(two), skip(two), jump(two, 5), takeTries(two, false)]) {
      expect(state.tries).toEqual([]);
      expect(countMeasured(state)).toBe(0);
    }
  });

  test('the smallest too is questioned where it disagrees; then three are taken anew', () => {
    const before = takeTries(typed(ALIKE.slice(0, 10)), true).state;
    const three = ['20.60', '20.51', '20.55'].reduce(
      (step, text) => type(sheet, step.state, text),
      { state: before } as Step,
    );
    expect(three.outcome).toMatchObject({ kind: 'questioned', doubt: { thickness: 20.51 } });
    expect(type(sheet, three.state, '20.02').outcome).toMatchObject({ kind: 'tried', count: 1 });
  });

  test('a planed face is read once', () => {
    const planed = jump(trying, all - 1).state;
    expect(type(sheet, planed, '20.05').outcome.kind).toBe('taken');
  });
});

describe('going from place to place', () => {
  test('back stops at the first place, a jump at either end', () => {
    expect(back(freshState(sheet)).state.at).toBe(0);
    expect(jump(freshState(sheet), -5).state.at).toBe(0);
    expect(isFinished(jump(freshState(sheet), all + 5).state)).toBe(true);
    expect(back(jump(freshState(sheet), all).state).state.at).toBe(all - 1);
  });

  test('the only place left cannot be skipped, and that is said', () => {
    const one = jump(typed(ALIKE.slice(0, all - 1)), all - 1).state;
    expect(skip(one)).toMatchObject({ state: { at: all - 1 }, outcome: { kind: 'only-one-left' } });
  });

  test('erasing makes a place blank and stays there', () => {
    const state = erase(jump(typed(ALIKE.slice(0, 6)), 2).state).state;
    expect(state).toMatchObject({ at: 2 });
    expect(cells(state).slice(0, 6)).toEqual([...ALIKE.slice(0, 2), null, ...ALIKE.slice(3, 6)]);
  });
});

type Action = (state: SheetState) => Step;
const action: fc.Arbitrary<{ readonly name: string; readonly act: Action }> = fc.oneof(
  fc.integer({ min: 300, max: 3000 }).map((n) => ({
    name: `type ${n / 100}`,
    act: (state: SheetState) => type(sheet, state, `${n / 100}`),
  })),
  fc
    .integer({ min: 0, max: all })
    .map((at) => ({ name: `jump ${at}`, act: (state: SheetState) => jump(state, at) })),
  fc.constantFrom(
    { name: 'keep', act: keep },
    { name: 'again', act: again },
    { name: 'back', act: back },
    { name: 'skip', act: skip },
    { name: 'erase', act: erase },
    { name: 'tries', act: (state: SheetState) => takeTries(state, !state.takesTries) },
  ),
);

test('whatever is pressed, a reading at another place than the present one is never touched', () => {
  fc.assert(
    fc.property(fc.array(action, { maxLength: 25 }), (actions) => {
      let state = freshState(sheet);
      for (const { name, act } of actions) {
        const before = structuredClone(state);
        const { state: after, outcome } = act(state);
        expect(state).toEqual(before);
        const changed = after.entries.flatMap((entry, i) =>
          JSON.stringify(entry) === JSON.stringify(before.entries[i]) ? [] : [i],
        );
        expect(changed.filter((i) => i !== before.at)).toEqual([]);
        const mayChange = outcome.kind === 'taken' || name === 'erase';
        expect(mayChange || changed.length === 0).toBe(true);
        expect(after.at >= 0 && after.at <= all && after.entries.length === all).toBe(true);
        state = after;
      }
    }),
    { numRuns: 60 },
  );
});
