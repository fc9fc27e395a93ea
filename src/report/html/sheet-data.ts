import type { Noise } from '../../fit/problem.js';
import type { Machine } from '../../machine/machine.js';
import type { Place } from '../../sheet/places.js';

/** All that a measurement sheet carries for the program within it. Lengths in mm. */
export interface SheetData {
  readonly machine: Machine;
  /** One reading's noise, which tells what disagrees. */
  readonly noise: Noise;
  /** In the order of measuring. */
  readonly places: readonly Place[];
  /** The unit of what is typed and shown. */
  readonly unit: 'mm' | 'in';
  /** Names what the browser keeps: the same for the same plan, and for no other. */
  readonly key: string;
  /** Under which name the readings are saved. */
  readonly saveAs: string;
  /** What to run then. */
  readonly command: string;
}
