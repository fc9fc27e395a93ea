import type { Machine } from '../machine/machine.js';
import { straightAt } from '../model/coordinates.js';
import { showingKnives } from '../model/surface.js';
import type { TestCutModel } from '../model/test-cut.js';
import type { Notice } from '../notices/notice.js';
import type { Spoken } from '../units/spoken.js';

type Ends = readonly ({ readonly value: number } | null)[];

/**
 * Boards said to be cut by one proud knife, where by the estimates another knife takes part too:
 * their readings are then not that knife's alone. Two proud knives in one state of the machine
 * cannot both be right either.
 *
 * @param offsets of each knife at both ends; knives that are not known are passed over
 */
export function proudButNotAlone(
  machine: Machine,
  { layout, feed, readings }: TestCutModel,
  offsets: readonly Ends[],
  spoken: Spoken,
): Notice[] {
  const proud = readings.filter(({ cut }) => cut === 'proud');
  const ids = [...new Set(proud.map(({ knife }) => knife))];
  const notices: Notice[] = [];
  if (ids.length > 1) {
    notices.push({
      code: 'several-proud-knives',
      severity: 'warning',
      message: `knives ${ids.join(' and ')} are both said to have led everywhere; in one state of the machine only one can`,
      hint: 'check the knife numbers of the boards cut under power',
    });
  }
  const reported = new Set<string>();
  for (const { knife, x, file, line } of proud) {
    const known = machine.block.knives.flatMap((id, k) => {
      const [front, back] = offsets[k]!;
      return front && back
        ? [{ id, height: straightAt(layout.span, x, front.value, back.value) }]
        : [];
    });
    if (known.length < machine.block.knives.length || reported.has(knife)) continue;
    const heights = known.map(({ height }) => height);
    const shown = showingKnives(heights, feed);
    const others = known.filter(({ id }, k) => shown.has(k) && id !== knife).map(({ id }) => id);
    if (others.length === 0) continue;
    reported.add(knife);
    notices.push({
      code: 'proud-not-alone',
      severity: 'warning',
      message: `by these estimates knife ${others.join(', ')} takes part at x ${spoken.place(x)} too, where the board is said to be cut by knife ${knife} alone`,
      file,
      line,
      hint: 'give such boards as full (knife all), or cut the knife by hand',
    });
  }
  return notices;
}
