import type { GaugeReading } from '../boards/instrument-reading.js';
import type { Machine } from '../machine/machine.js';
import { spanOf } from '../model/coordinates.js';
import { NO_INSTRUMENTS } from '../model/instruments.js';
import type { Instead, PlannedBoard } from '../record/plan.js';
import { countedPlaces, foretell } from './foretell.js';
import { foretoldOf } from './plan-expected.js';

/** How often each edge is read at each place. */
const TIMES = 3;

/**
 * What a dial indicator on the knives would tell, with boards planed under power for the bed: the way
 * where the block cannot be turned by hand for scoops, or the feed rollers hold the strip. The stand is
 * moved from place to place, so each place has a zero of its own.
 */
export function gaugeInstead(machine: Machine, underPower: readonly PlannedBoard[]): Instead {
  const { front, back } = spanOf(machine);
  const x = [front, (front + back) / 2, back];
  const gauge = x.flatMap((at) =>
    machine.block.knives.flatMap((knife) =>
      Array.from({ length: TIMES }, (): GaugeReading => {
        return { file: '', line: 0, knife, x: at, reading: 0, zero: `at ${at}` };
      }),
    ),
  );
  const places = countedPlaces(underPower);
  const { standing } = foretell(machine, places, { ...NO_INSTRUMENTS, gauge });
  return { kind: 'gauge', x, times: TIMES, expected: foretoldOf(machine, standing) };
}
