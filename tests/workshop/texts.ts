import type { Place } from './designs.js';
import type { Shop } from './shop.js';

export interface Row extends Place {
  /** As written down, mm. */
  readonly thickness: string;
}

/** Long-form CSV; comments become rows that start with `#`. */
export function csvText(rows: readonly Row[], comments: readonly string[] = []): string {
  const lines = [
    ...comments.map((comment) => `# ${comment}`),
    'board,knife,x,y,thickness',
    ...rows.map((row) => [row.board, row.knife, row.x, row.y, row.thickness].join(',')),
  ];
  return `${lines.join('\n')}\n`;
}

/** The line in the file, counted from 1, on which a row stands. */
export function lineOf(row: number, comments: readonly string[] = []): number {
  return row + comments.length + 2;
}

/** The machine file that its owner would write: what can be known without measuring a board. */
export function machineText(
  shop: Shop,
  name = 'Bench thicknesser',
  comments: readonly string[] = [],
): string {
  const ids = shop.knives.map((knife) => `"${knife.id}"`).join(', ');
  const lines = [
    ...comments.map((comment) => `# ${comment}`),
    `name = "${name}"`,
    'unit = "mm"',
    '',
    '[block]',
    `knives = [${ids}]`,
    `cutting_diameter = ${2 * shop.radius}`,
    ...(shop.angles ? [`angles = [${shop.angles.join(', ')}]`] : []),
    `length = ${shop.blockLength}`,
    `speed = "${shop.speed} rpm"`,
    '',
    '[feed]',
    `speed = "${shop.feedSpeed / 1000} m/min"`,
    '',
    '[adjusters]',
    'kind = "screw"',
    `at = [${shop.adjusters.join(', ')}]`,
    'thread = "M6"',
    `lift_per_turn = ${shop.liftPerTurn}`,
    'raised_by = "anticlockwise"',
    'finest_turn = "1/16"',
    'approach = "raise"',
    '',
    '[bed]',
    `repeatability = ${shop.lockSd}`,
    '',
    '[tolerance]',
    'knife = 0.05',
    'bed = 0.1',
    '',
    '[instrument]',
    'resolution = 0.01',
    'max_error = 0.02',
  ];
  return `${lines.join('\n')}\n`;
}
