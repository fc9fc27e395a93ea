import { hasErrors, type Notice } from '../notices/notice.js';
import type { EarlierResult } from '../pipeline/foretell-marks.js';
import { type Marks, marks, marksAreSettled } from '../pipeline/marks.js';
import { type MarksAsked, readAsked } from '../pipeline/marks-asked.js';
import { understand } from '../pipeline/understand.js';
import { toJson } from '../report/json.js';
import { marksText } from '../report/text/marks-text.js';
import { EXIT } from './exit-codes.js';
import { overwriteNotices, writeWhole } from './files.js';
import { type Gathered, gather } from './gather.js';
import type { MarksCommandOptions } from './marks.js';
import type { OutputOptions } from './options.js';
import { readEarlier } from './read-earlier.js';
import { paintForOutput, tellNotices } from './tell.js';

/** Reads, works out, tells and writes what `marks` is asked for. */
export async function runMarks(
  machine: string,
  files: readonly string[],
  options: MarksCommandOptions,
): Promise<number> {
  const { out, force = false, json } = options;
  const gathered = await gather(machine, files);
  const earlier = await readEarlier(options.result);
  const notices = [
    ...gathered.notices,
    ...earlier.notices,
    ...(await overwriteNotices(out, force)),
  ];
  const markedIn = (unit?: 'mm' | 'in') =>
    hasErrors(notices)
      ? { machine: null, report: null, notices }
      : marksOf(gathered, earlier.result, options, unit);
  const marked = await markedIn();
  // Documents speak in the machine's unit whoever reads; people may choose another.
  const isOther = options.unit !== undefined && options.unit !== marked.machine?.unit;
  const people = isOther && !json ? await markedIn(options.unit) : marked;
  tellNotices(people.notices);
  if (!marked.report || !people.report || !people.machine) return refuse(marked.notices, options);
  const failed = out === undefined ? [] : await writeWhole(out, toJson(marked.report), force);
  tellNotices(failed);
  if (failed.length > 0) return refuse([...marked.notices, ...failed], options);
  const unit = options.unit ?? people.machine.unit;
  process.stdout.write(
    json ? toJson(marked.report) : marksText(people.report, people.machine, unit, paintForOutput()),
  );
  if (out !== undefined) process.stderr.write(`written: ${out}\n`);
  return marksAreSettled(marked.report) ? EXIT.done : EXIT.undecided;
}

async function marksOf(
  { machine: file, readings }: Gathered,
  result: EarlierResult | null,
  asked: MarksAsked,
  unit: 'mm' | 'in' | undefined,
): Promise<Marks> {
  // What is asked may stand without a unit, which is then the machine file's.
  const { machine } = await understand(file!, []);
  const { wishes, feedSpeed, notices } = await readAsked(asked, machine?.unit ?? 'mm');
  const marked = await marks(file!, readings, {
    wishes,
    ...(result ? { result } : {}),
    ...(feedSpeed === undefined ? {} : { feedSpeed }),
    ...(unit === undefined ? {} : { unit }),
  });
  if (!hasErrors(notices)) return marked;
  return { ...marked, report: null, notices: [...notices, ...marked.notices] };
}

/** With `--json` the document still comes, with its notices and nothing else. */
function refuse(notices: readonly Notice[], { json }: OutputOptions): number {
  if (json) process.stdout.write(toJson({ schema: 'proofboard/marks@1', notices }));
  return EXIT.badInput;
}
