import * as v from 'valibot';
import type { Notice } from '../notices/notice.js';
import type { Plan } from '../record/plan.js';
import { readDocument } from './read-document.js';
import type { SourceFile } from './source.js';

/** So many boards, or places along one, are no plan that somebody will cut. */
const MOST = 500;

/** No board is longer, no machine wider, mm. */
const FARTHEST = 20_000;

const positions = v.pipe(
  v.array(v.pipe(v.number(), v.finite(), v.minValue(0), v.maxValue(FARTHEST))),
  v.minLength(1),
  v.maxLength(MOST),
);

/** Places nearer than this are the same, mm. */
const SAME = 0.001;

/** Only strips have these. */
const length = v.optional(v.nullable(v.pipe(v.number(), v.finite())), null);

/** What is read of a plan; the rest is carried along unread. */
const shape = v.looseObject({
  schema: v.literal('proofboard/plan@1'),
  machine: v.looseObject({ name: v.string(), knives: v.array(v.string()) }),
  boards: v.pipe(
    v.array(
      v.pipe(
        v.looseObject({
          board: v.pipe(v.string(), v.nonEmpty()),
          cut: v.picklist(['hand', 'proud', 'full']),
          knives: v.pipe(v.array(v.pipe(v.string(), v.nonEmpty())), v.minLength(1)),
          x: positions,
          y: positions,
          spacing: length,
          width: length,
          length,
          setting: v.optional(v.pipe(v.string(), v.trim(), v.nonEmpty())),
          repeat: v.optional(v.pipe(v.string(), v.trim(), v.nonEmpty())),
          again: v.optional(v.literal(true)),
        }),
        v.check(
          ({ knives, spacing }) => knives.length === 1 || (spacing !== null && spacing > 0),
          'has several knives and no spacing between their scoops',
        ),
        v.check(
          ({ knives }) => new Set(knives).size === knives.length,
          'names a knife more than once',
        ),
        v.check(
          ({ cut, knives }) => (cut === 'full') === knives.includes('all'),
          'is cut in a way that its knives do not go with: all knives cut a full board, and only that',
        ),
        v.check(({ x, y, knives, spacing }) => {
          const round = Math.max(SAME, (knives.length - 1) * (spacing ?? 0));
          const isFar = (least: number) => (at: number, i: number, all: number[]) =>
            i === 0 || at - all[i - 1]! >= least;
          return x.every(isFar(SAME)) && y.every(isFar(round));
        }, 'has places that do not follow each other, front to back and from the leading end'),
      ),
    ),
    v.maxLength(MOST),
    v.check((boards) => {
      const cut = boards.filter(({ again }) => !again).map(({ board }) => board);
      return new Set(cut).size === cut.length;
    }, 'name a board more than once'),
  ),
});

/** Reads a plan; notices say what is wrong with one that cannot be used. */
export function readPlan(file: SourceFile): {
  readonly plan: Plan | null;
  readonly notices: readonly Notice[];
} {
  const { document, notices } = readDocument(file, {
    name: 'plan',
    hint: 'give the file that plan wrote with --out',
    shape,
  });
  return { plan: document as Plan | null, notices };
}
