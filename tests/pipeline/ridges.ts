import type { Ridge } from '../../src/boards/instrument-reading.js';
import { feedAt } from '../../src/model/feed.js';
import { planedSurface } from '../../src/model/surface.js';
import { type FedMachine, fedMachine } from '../../src/pipeline/fed-machine.js';
import { benchMachine } from '../machines.js';
import type { Random } from '../workshop/random.js';

/** An invented machine with knives 1, 2, 3 ... that feeds `pitch` mm a knife. */
export function machineWith(
  knives: number,
  pitch: number,
  angles: readonly number[] | null = null,
): FedMachine {
  const bench = benchMachine();
  const ids = Array.from({ length: knives }, (_, k) => String(k + 1));
  const machine = benchMachine({
    block: { ...bench.block, knives: ids, angles },
    feedSpeed: pitch * knives * bench.block.speed!,
  });
  return fedMachine(machine, 'machine.toml', undefined).fed!;
}

/** How the ridges of one board at one x are written down. */
export interface Written {
  readonly board?: string;
  readonly x?: number;
  readonly turns?: number;
  readonly sd?: number;
  /** To what positions are rounded, mm. */
  readonly division?: number;
  readonly start?: number;
  /** Whether the mark that begins at a ridge is written down with its knife. */
  readonly isLabelled?: (turn: number, knife: number) => boolean;
}

/** Ridges along a board planed by knives of given heights, ascending, each on a line of its own. */
export function ridgesAlong(
  machine: FedMachine,
  heights: readonly number[],
  random: Random,
  written: Written = {},
): Ridge[] {
  const { board = 'F1', x = 40, turns = 10, sd = 0.05, start = 30 } = written;
  const { division = 0.01, isLabelled = () => false } = written;
  const period = machine.feedSpeed / machine.block.speed;
  const { ridges } = planedSurface(heights, feedAt(machine, period));
  const first = ridges[0]!.y;
  return Array.from({ length: turns }, (_, turn) =>
    ridges.map(({ y, after }) => {
      const read = start + y - first + turn * period + random.normal(sd);
      const knife = isLabelled(turn, after) ? machine.block.knives[after]! : null;
      return { board, x, y: Math.round(read / division) * division, knife };
    }),
  )
    .flat()
    .sort((a, b) => a.y - b.y)
    .map((ridge, i) => ({ file: 'marks.csv', line: i + 2, ...ridge }));
}
