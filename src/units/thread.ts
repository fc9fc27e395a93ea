const INCH = 25.4;

/** A thread's pitch in mm, or why it is not known and which designations of that diameter are. */
export type ThreadReading =
  | { readonly pitch: number }
  | { readonly problem: string; readonly known: readonly string[] };

/** Pitches in mm by nominal diameter, coarse first (null: none): ISO 261, its selection ISO 262. */
const METRIC: ReadonlyMap<string, readonly (number | null)[]> = new Map([
  ['3', [0.5, 0.35]],
  ['3.5', [0.6, 0.35]],
  ['4', [0.7, 0.5]],
  ['4.5', [0.75, 0.5]],
  ['5', [0.8, 0.5]],
  ['5.5', [null, 0.5]],
  ['6', [1, 0.75]],
  ['7', [1, 0.75]],
  ['8', [1.25, 1, 0.75]],
  ['9', [1.25, 1, 0.75]],
  ['10', [1.5, 1.25, 1, 0.75]],
  ['11', [1.5, 1, 0.75]],
  ['12', [1.75, 1.5, 1.25, 1]],
]);

/** Threads an inch by size: ASME B1.1, coarse (UNC) and fine (UNF). */
const UNIFIED: ReadonlyMap<string, { readonly unc: number; readonly unf: number }> = new Map([
  ['#8', { unc: 32, unf: 36 }],
  ['#10', { unc: 24, unf: 32 }],
  ['#12', { unc: 24, unf: 28 }],
  ['1/4', { unc: 20, unf: 28 }],
  ['5/16', { unc: 18, unf: 24 }],
  ['3/8', { unc: 16, unf: 24 }],
]);

// After the size and pitch there may be a tolerance class and a mark for left-hand threads.
const METRIC_FORM =
  /^m\s*(\d+(?:[.,]\d+)?)(?:\s*[x×*]\s*(\d+(?:[.,]\d+)?))?(?:\s*-\s*\d[gh]\S*)?(?:[\s-]*lh)?$/i;
const UNIFIED_FORM =
  /^(?:(\d+\/\d+)(?:\s*(?:in\b|["”″]))?|(?:no\.?\s*|#\s*)?(\d+))(?:\s*-\s*(\d+))?(?:\s*(unc|unf))?(?:\s*-\s*[123][ab])?(?:[\s-]*lh)?$/i;

/**
 * The pitch of a thread from its designation: metric M3 to M12 (`M6`, `M6x0.75`, `M8×1`), unified #8 to
 * 3/8 (`1/4-28`, `1/4-20 UNC`, `#10-32`). A pitch that the standards do not list is not guessed at.
 */
export function threadPitch(designation: string): ThreadReading {
  const text = designation.trim();
  const metric = METRIC_FORM.exec(text);
  if (metric) return metricPitch(decimal(metric[1]!), metric[2]);
  const unified = UNIFIED_FORM.exec(text);
  if (unified) {
    const size = unified[1] ?? `#${unified[2]}`;
    return unifiedPitch(size, unified[3], unified[4]?.toLowerCase());
  }
  return {
    problem: 'is not a thread designation known here',
    known: ['M6', 'M8x1', '1/4-28', '#10-32'],
  };
}

/** Pitches stand with a decimal comma in many countries; nothing in a designation groups thousands. */
function decimal(text: string): string {
  return String(Number(text.replace(',', '.')));
}

function metricPitch(diameter: string, written: string | undefined): ThreadReading {
  const pitches = METRIC.get(diameter);
  if (!pitches) return { problem: `M${diameter} is not in the table`, known: sizes('M', METRIC) };
  const [coarse, ...fine] = pitches;
  if (written === undefined && coarse != null) return { pitch: coarse };
  const pitch = written === undefined ? undefined : Number(decimal(written));
  if (pitch !== undefined && pitches.includes(pitch)) return { pitch };
  const known = [
    ...(coarse == null ? [] : [`M${diameter}`]),
    ...fine.map((each) => `M${diameter}x${each}`),
  ];
  const problem =
    pitch === undefined
      ? `M${diameter} has no coarse pitch`
      : `M${diameter} has no pitch of ${pitch} in ISO 261`;
  return { problem, known };
}

function unifiedPitch(
  size: string,
  count: string | undefined,
  series: string | undefined,
): ThreadReading {
  const threads = UNIFIED.get(size);
  if (!threads) return { problem: `${size} is not in the table`, known: sizes('', UNIFIED) };
  const listed = series === undefined ? Object.values(threads) : [threads[series as 'unc' | 'unf']];
  const known = [`${size}-${threads.unc} UNC`, `${size}-${threads.unf} UNF`];
  if (count === undefined) {
    // A size alone could be either series; with the series named it is one.
    const problem = `${size} alone does not say coarse or fine`;
    return listed.length === 1 ? { pitch: INCH / listed[0]! } : { problem, known };
  }
  if (listed.includes(Number(count))) return { pitch: INCH / Number(count) };
  const named = series === undefined ? '' : ` ${series.toUpperCase()}`;
  return { problem: `${size}-${count}${named} is not in ASME B1.1's coarse or fine series`, known };
}

function sizes(prefix: string, table: ReadonlyMap<string, unknown>): string[] {
  return [...table.keys()].map((size) => `${prefix}${size}`);
}
