import * as v from 'valibot';
import type { Notice } from '../notices/notice.js';
import type { EarlierResult } from './foretell-marks.js';

const number = v.pipe(v.number(), v.finite());
const size = v.optional(v.nullable(number), null);
const verdict = v.picklist(['inside', 'outside', 'undecided']);

/** What a plan reads of a result, beyond what every command reads of one. */
const shape = v.looseObject({
  fitted: v.array(
    v.looseObject({
      file: v.string(),
      line: number,
      board: v.string(),
      knife: v.string(),
      cut: v.picklist(['hand', 'proud', 'full']),
      setting: v.optional(v.nullable(v.string())),
      x: number,
      y: number,
      thickness: number,
      residual: number,
    }),
  ),
  fit: v.looseObject({ readingSd: v.pipe(number, v.gtValue(0)) }),
  knives: v.array(v.looseObject({ ends: v.array(v.looseObject({ U: size, verdict })) })),
  bed: v.looseObject({ tilt: v.nullable(number), U: size, verdict }),
  board: v.looseObject({ taper: v.nullable(number), U: size, verdict }),
  verdicts: v.looseObject({ together: verdict }),
  readings: v.looseObject({ setAside: v.array(v.looseObject({ board: v.string() })) }),
  instruments: v.optional(v.array(v.looseObject({ kind: v.string(), used: number }))),
  notices: v.array(v.looseObject({ code: v.string() })),
  evidence: v.optional(
    v.looseObject({ fullBoards: v.optional(v.nullable(v.looseObject({ agree: v.boolean() }))) }),
  ),
});

/** An error where a result lacks what a plan builds on; null where it has all of it. */
export function lacksForPlan({ name, result }: EarlierResult): Notice | null {
  const ids = result.knives.map(({ id }) => id);
  const isWhole = ids.join('\n') === result.machine.knives.join('\n');
  const parsed = v.safeParse(shape, result);
  if (parsed.success && isWhole) return null;
  const [issue] = parsed.issues ?? [];
  return {
    code: 'bad-result',
    severity: 'error',
    message: 'this result lacks what a plan builds on',
    file: name,
    ...(issue
      ? wanting(v.getDotPath(issue) ?? 'the document', issue)
      : { found: `knives ${ids.join(', ')}`, expected: result.machine.knives.join(', ') }),
    hint: 'run analyse or confirm again with --out, on the same files, and give what that writes',
  };
}

function wanting(where: string, { received, expected }: v.BaseIssue<unknown>) {
  if (received === 'undefined') return { found: `no ${where}` };
  return { found: `${where}: ${received}`, expected: expected ?? 'something else' };
}
