import * as v from 'valibot';
import type { Notice } from '../notices/notice.js';
import type { Plan } from '../record/plan.js';
import { readDocument } from './read-document.js';
import type { SourceFile } from './source.js';

const positions = v.pipe(v.array(v.pipe(v.number(), v.finite())), v.minLength(1));

/** Only strips have these. */
const length = v.optional(v.nullable(v.pipe(v.number(), v.finite())), null);

/** What is read of a plan; the rest is carried along unread. */
const shape = v.looseObject({
  schema: v.literal('proofboard/plan@1'),
  machine: v.looseObject({ name: v.string(), knives: v.array(v.string()) }),
  boards: v.array(
    v.looseObject({
      board: v.pipe(v.string(), v.nonEmpty()),
      cut: v.picklist(['hand', 'proud', 'full']),
      knives: v.pipe(v.array(v.pipe(v.string(), v.nonEmpty())), v.minLength(1)),
      x: positions,
      y: positions,
      spacing: length,
      width: length,
      length,
      setting: v.optional(v.pipe(v.string(), v.nonEmpty())),
    }),
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
