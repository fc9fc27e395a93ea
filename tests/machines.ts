import type { Machine } from '../src/machine/machine.js';

/** An invented bench thicknesser, 520 mm wide with four knives, for tests that need some machine. */
export function benchMachine(overrides: Partial<Machine> = {}): Machine {
  return {
    name: 'Bench thicknesser',
    unit: 'mm',
    block: {
      knives: ['1', '2', '3', '4'],
      cuttingDiameter: 120,
      length: 520,
      speed: 4500,
      maxSpeed: null,
      maxProjection: null,
      projection: null,
      angles: null,
    },
    feedSpeed: 9000,
    adjusters: {
      kind: 'screw',
      at: [40, 480],
      names: ['front', 'back'],
      thread: 'M6',
      pitch: 1,
      liftPerTurn: 1,
      raisedBy: 'anticlockwise',
      finestTurn: 1 / 16,
      turnSd: 0.01,
      approach: 'raise',
    },
    bed: { repeatability: 0.005, at: null, thread: null, liftPerTurn: null },
    set: null,
    outfeedPresent: false,
    tolerance: { knife: 0.05, bed: 0.1 },
    instrument: { resolution: 0.01, maxError: 0.02, readingSd: null, contact: null, reach: null },
    assumed: [],
    ...overrides,
  };
}
