import { hasErrors } from '../notices/notice.js';
import type { EarlierResult } from '../pipeline/foretell-marks.js';
import { type Marks, marks, marksAreSettled } from '../pipeline/marks.js';
import { type MarksAsked, readAsked } from '../pipeline/marks-asked.js';
import { understand } from '../pipeline/understand.js';
import type { MarksReport } from '../record/marks.js';
import { marksText } from '../report/text/marks-text.js';
import { deliver, type Made } from './deliver.js';
import { EXIT } from './exit-codes.js';
import { overwriteNotices } from './files.js';
import { type Gathered, gather } from './gather.js';
import type { MarksCommandOptions } from './marks.js';
import { readEarlier } from './read-earlier.js';
import { paintForOutput } from './tell.js';

const SCHEMA = 'proofboard/marks@1';

/** Reads, works out, tells and writes what `marks` is asked for. */
export async function runMarks(
  machine: string,
  files: readonly string[],
  options: MarksCommandOptions,
): Promise<number> {
  const gathered = await gather(machine, files);
  const earlier = await readEarlier(options.result);
  const notices = [
    ...gathered.notices,
    ...earlier.notices,
    ...(await overwriteNotices(options.out, options.force ?? false)),
  ];
  const markedIn = async (unit?: 'mm' | 'in'): Promise<Made<MarksReport>> => {
    if (hasErrors(notices)) return { machine: null, document: null, notices };
    const { report, ...marked } = await marksOf(gathered, earlier.result, options, unit);
    return { ...marked, document: report };
  };
  const report = await deliver(SCHEMA, options, markedIn, (document, described, unit) =>
    marksText(document, described, unit, paintForOutput()),
  );
  if (!report) return EXIT.badInput;
  return marksAreSettled(report) ? EXIT.done : EXIT.undecided;
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
