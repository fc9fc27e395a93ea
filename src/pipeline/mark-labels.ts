import type { Ridge } from '../boards/instrument-reading.js';
import type { RepeatingPattern } from '../fit/pattern.js';
import type { Machine } from '../machine/machine.js';
import type { Notice } from '../notices/notice.js';

/** A label against so many others is a slip of the pen. */
const MOST_SLIPS = 1 / 5;
/** Ridges closer than this, mm, may be read in the wrong order. */
const MAY_CROSS = 0.25;

/**
 * Ridges along the board. Two that lie closer than they can be read may have come in the wrong order;
 * where their labels say so, they are put right: knives follow each other round the block.
 */
export function inOrder(machine: Machine, group: readonly Ridge[]): Ridge[] {
  const sorted = [...group].sort((a, b) => a.y - b.y);
  const count = machine.block.knives.length;
  const knife = (ridge: Ridge | undefined) =>
    ridge?.knife ? machine.block.knives.indexOf(ridge.knife) : null;
  const steps = (...knives: readonly (number | null)[]) => {
    const named = knives.filter((each) => each !== null);
    return named.slice(1).reduce((sum, each, i) => {
      return sum + (((each - named[i]! + count - 1) % count) + 1);
    }, 0);
  };
  for (let i = 1; i < sorted.length; i++) {
    const [a, b] = [sorted[i - 1]!, sorted[i]!];
    if (a.knife === null || b.knife === null || b.y - a.y > MAY_CROSS) continue;
    const [before, after] = [knife(sorted[i - 2]), knife(sorted[i + 1])];
    const asRead = steps(before, knife(a), knife(b), after);
    if (steps(before, knife(b), knife(a), after) < asRead) [sorted[i - 1], sorted[i]] = [b, a];
  }
  return sorted;
}

/** The knife of each slot by its labels, with an error where they cannot all be right. */
export function labelsOf(
  machine: Machine,
  ridges: readonly Ridge[],
  pattern: RepeatingPattern,
): { readonly labels: (number | null)[]; readonly notices: Notice[] } {
  const bySlot: Ridge[][] = Array.from({ length: pattern.slots }, () => []);
  ridges.forEach((ridge, index) => {
    const place = pattern.places[index];
    if (place && ridge.knife !== null) bySlot[place.slot]!.push(ridge);
  });
  const names = bySlot.map(commonest);
  const notices = bySlot.flatMap((labelled, slot) => {
    const others = labelled.filter(({ knife }) => knife !== names[slot]);
    const isSlip = others.length <= MOST_SLIPS * labelled.length;
    return others
      .filter(({ knife }) => !mayCross(pattern, slot, names.indexOf(knife)))
      .slice(0, isSlip ? others.length : 1)
      .map((ridge) => conflict(ridge, names[slot]!, isSlip));
  });
  names.forEach((name, slot) => {
    const first = names.indexOf(name);
    if (name === null || first === slot) return;
    notices.push(twice(bySlot[slot]!.find(({ knife }) => knife === name)!));
  });
  return {
    labels: names.map((name) => (name === null ? null : machine.block.knives.indexOf(name))),
    notices,
  };
}

function commonest(ridges: readonly Ridge[]): string | null {
  const counts = new Map<string, number>();
  for (const { knife } of ridges) counts.set(knife!, (counts.get(knife!) ?? 0) + 1);
  let best: string | null = null;
  for (const [name, count] of counts) {
    if (best === null || count > counts.get(best)!) best = name;
  }
  return best;
}

/** Whether two ridges of a pattern lie so close that one may have been taken for the other. */
function mayCross({ phases, period }: RepeatingPattern, slot: number, other: number): boolean {
  if (other < 0) return false;
  const apart = Math.abs(phases[slot]! - phases[other]!);
  return Math.min(apart, period - apart) < MAY_CROSS;
}

/** A label against the others of its slot: a slip where those are many, else nobody knows. */
function conflict({ file, line, knife }: Ridge, name: string, isSlip: boolean): Notice {
  return {
    code: isSlip ? 'label-set-aside' : 'label-conflict',
    severity: isSlip ? 'warning' : 'error',
    message: isSlip
      ? `this mark is said to be of knife ${knife}, in the other revolutions of knife ${name}: the label is set aside`
      : `this mark is said to be of knife ${knife}, and one revolution on or before of knife ${name}`,
    file,
    line,
    found: knife!,
    expected: name,
    hint: 'correct the label, or leave it empty where you are not sure',
  };
}

function twice({ file, line, knife }: Ridge): Notice {
  return {
    code: 'label-twice',
    severity: 'error',
    message: `knife ${knife} is said to have cut two marks of one revolution`,
    file,
    line,
    found: knife!,
    expected: 'each knife once a revolution',
    hint: 'correct the labels, or leave them empty where you are not sure',
  };
}
