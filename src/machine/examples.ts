import type { Path } from './toml.js';

/** A line that would do for each key, by its name within the file. */
const EXAMPLES: Readonly<Record<string, string>> = {
  name: 'name = "Bench thicknesser"',
  unit: 'unit = "mm"',
  block: '[block]',
  'block.knives': 'knives = ["1", "2", "3"]',
  'block.cutting_diameter': 'cutting_diameter = "120 mm"',
  'block.length': 'length = "520 mm"',
  'block.speed': 'speed = "4500 rpm"',
  'block.max_speed': 'max_speed = "5500 rpm"',
  'block.max_projection': 'max_projection = "1.1 mm"',
  'block.projection': 'projection = { knife = "1", x = "40 mm", value = "0.9 mm" }',
  'block.angles': 'angles = [0, 120, 240]',
  feed: '[feed]',
  'feed.speed': 'speed = "9 m/min"',
  adjusters: '[adjusters]',
  'adjusters.kind': 'kind = "screw"',
  'adjusters.at': 'at = ["40 mm", "480 mm"]',
  'adjusters.thread': 'thread = "M6"',
  'adjusters.pitch': 'pitch = "1 mm"',
  'adjusters.lift_per_turn': 'lift_per_turn = "1 mm"',
  'adjusters.raised_by': 'raised_by = "anticlockwise"',
  'adjusters.finest_turn': 'finest_turn = "1/16"',
  'adjusters.turn_sd': 'turn_sd = 0.01',
  'adjusters.approach': 'approach = "raise"',
  'adjusters.names': 'names = ["front", "back"]',
  'adjusters.stock': 'stock = ["0.05 mm", { thickness = "0.1 mm", count = 6 }]',
  'adjusters.most': 'most = 3',
  bed: '[bed]',
  'bed.repeatability': 'repeatability = "0.005 mm"',
  'bed.at': 'at = ["60 mm", "460 mm"]',
  'bed.thread': 'thread = "M8"',
  'bed.pitch': 'pitch = "1.25 mm"',
  set: '[set]',
  'set.name': 'name = "set A"',
  'set.edge': 'edge = "first"',
  'set.fitted': 'fitted = 2026-11-20',
  'set.note': 'note = "after grinding"',
  outfeed: '[outfeed]',
  'outfeed.present': 'present = true',
  tolerance: '[tolerance]',
  'tolerance.knife': 'knife = "0.05 mm"',
  'tolerance.bed': 'bed = "0.1 mm"',
  instrument: '[instrument]',
  'instrument.resolution': 'resolution = "0.01 mm"',
  'instrument.max_error': 'max_error = "0.02 mm"',
  'instrument.reading_sd': 'reading_sd = "0.008 mm"',
  'instrument.contact': 'contact = "flat 3 mm"',
  'instrument.reach': 'reach = "40 mm"',
};

/** A hint with a line that would do for a key, or for the nearest key above it that has one. */
export function exampleOf(path: Path): string | undefined {
  if (path.length === 0) return undefined;
  const example = EXAMPLES[path.join('.')];
  return example === undefined ? exampleOf(path.slice(0, -1)) : `For example: ${example}`;
}
