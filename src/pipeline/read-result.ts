import * as v from 'valibot';
import type { Notice } from '../notices/notice.js';
import type { Result } from '../record/result.js';
import type { SourceFile } from './source.js';

const SCHEMA = 'proofboard/result@1';
const SCHEMA_NAME = /^proofboard\/result@(\d+)$/;

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
  schema: v.literal(SCHEMA),
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
  const refuse = (message: string, hint: string) => ({
    result: null,
    notices: [{ code: 'bad-result', severity: 'error', message, file: file.name, hint } as const],
  });
  let json: unknown;
  try {
    json = JSON.parse(new TextDecoder().decode(file.content));
  } catch {
    return refuse('this is not a JSON file', 'give the file that analyse wrote with --out');
  }
  const schema = String((json as { schema?: unknown } | null)?.schema ?? '');
  const version = SCHEMA_NAME.exec(schema)?.[1];
  if (version !== undefined && Number(version) > 1) {
    return refuse(
      `this result was written by a newer proofboard (${schema})`,
      'install the newer version; this one cannot read it',
    );
  }
  const parsed = v.safeParse(shape, json);
  if (parsed.success) return { result: json as Result, notices: [] };
  const [issue] = parsed.issues;
  const where = v.getDotPath(issue) ?? 'the document';
  if (where === 'schema' || where === 'the document') {
    return refuse(
      'this is not a result of proofboard',
      'give the file that analyse or confirm wrote with --out',
    );
  }
  return refuse(
    `this is not a result of proofboard: ${where} is ${issue.received}, expected ${issue.expected ?? 'something else'}`,
    'give the file that analyse or confirm wrote with --out',
  );
}
