import type { Notice } from '../notices/notice.js';
import type { EarlierResult } from '../pipeline/foretell-marks.js';
import { readResult } from '../pipeline/read-result.js';
import { isSource, readSource } from './files.js';

/** The earlier result that an option names, if it names one. */
export async function readEarlier(
  name: string | undefined,
): Promise<{ readonly result: EarlierResult | null; readonly notices: readonly Notice[] }> {
  if (name === undefined) return { result: null, notices: [] };
  const source = await readSource(name);
  if (!isSource(source)) return { result: null, notices: [source] };
  const { result, notices } = readResult(source);
  return { result: result && { name, result }, notices };
}
