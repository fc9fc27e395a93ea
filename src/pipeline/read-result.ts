import * as v from 'valibot';
import type { Notice } from '../notices/notice.js';
import type { Result } from '../record/result.js';
import { readDocument } from './read-document.js';
import type { SourceFile } from './source.js';

const place = v.looseObject({ x: v.number() });

const middle = v.looseObject({ value: v.nullable(v.number()), u: v.nullable(v.number()) });

const end = v.looseObject({
  name: v.string(),
  x: v.number(),
  offset: v.nullable(v.number()),
  u: v.nullable(v.number()),
});

/** What is read of an earlier result; the rest is carried along unread. */
const shape = v.looseObject({
  schema: v.literal('proofboard/result@1'),
  machine: v.looseObject({ name: v.string(), knives: v.array(v.string()) }),
  files: v.optional(v.array(v.looseObject({ name: v.string(), sha256: v.string() })), []),
  knives: v.pipe(
    v.array(
      v.looseObject({
        id: v.string(),
        ends: v.tuple([end, end]),
        middle: v.optional(middle),
      }),
    ),
    v.minLength(1),
  ),
  moves: v.array(
    v.looseObject({
      knife: v.string(),
      end: v.nullable(v.string()),
      x: v.number(),
      lift: v.number(),
    }),
  ),
  fitted: v.optional(v.array(place)),
  fit: v.optional(v.looseObject({ readingSdFreedom: v.optional(v.nullable(v.number())) })),
  covariance: v.optional(
    v.looseObject({ of: v.array(v.string()), matrix: v.array(v.array(v.number())) }),
  ),
});

/** Reads an earlier result; notices say what is wrong with one that cannot be used. */
export function readResult(file: SourceFile): {
  readonly result: Result | null;
  readonly notices: readonly Notice[];
} {
  const { document, notices } = readDocument(file, {
    name: 'result',
    hint: 'give the file that analyse or confirm wrote with --out',
    shape,
  });
  return { result: document as Result | null, notices };
}
