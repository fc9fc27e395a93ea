import { feedPerKnife, type Machine } from './machine.js';
import type { Problem } from './problem.js';
import type { Path } from './toml.js';

/** A figure of a machine and the range that it lies in on machines of the trade. */
interface Figure {
  readonly path: Path;
  readonly value: number | null;
  readonly from: number;
  readonly to: number;
  readonly unit: string;
}

const CHECK_UNIT = 'Check the number and its unit; if both are right, nothing needs doing.';

/** Warnings of what a machine may be but seldom is, mostly slips of unit; and of what is not safe. */
export function doubts(machine: Machine): Problem[] {
  return [...overSpeed(machine), ...overProjection(machine), ...figuresOf(machine).flatMap(doubt)];
}

function overSpeed({ block: { speed, maxSpeed } }: Machine): Problem[] {
  if (speed === null || maxSpeed === null || speed <= maxSpeed) return [];
  return [
    {
      code: 'over-speed',
      severity: 'warning',
      path: ['block', 'speed'],
      message: `is above max_speed, the figure marked on the block: ${brief(speed)} against ${brief(maxSpeed)} rpm`,
      hint: 'Do not run the block faster than its marking allows; check both figures.',
    },
  ];
}

function overProjection({ block: { projection, maxProjection } }: Machine): Problem[] {
  if (!projection || maxProjection === null || projection.value <= maxProjection) return [];
  return [
    {
      code: 'over-projection',
      severity: 'warning',
      path: ['block', 'projection'],
      message: `is beyond max_projection: ${brief(projection.value)} against ${brief(maxProjection)} mm`,
      hint: 'Do not run the block with that knife so far out; it has to come down.',
    },
  ];
}

/** Ranges are common practice, no source; wide enough for what is sold and what is in museums. */
function figuresOf(machine: Machine): Figure[] {
  const { block, bed, tolerance, instrument } = machine;
  const mm = (path: Path, value: number | null, from: number, to: number): Figure => ({
    path,
    value,
    from,
    to,
    unit: 'mm',
  });
  return [
    mm(['block', 'cutting_diameter'], block.cuttingDiameter, 20, 400),
    mm(['block', 'length'], block.length, 50, 3000),
    { path: ['block', 'speed'], value: block.speed, from: 500, to: 20000, unit: 'rpm' },
    mm(['block', 'max_projection'], block.maxProjection, 0.1, 5),
    mm(['bed', 'repeatability'], bed.repeatability, 0.0005, 0.2),
    mm(['tolerance', 'knife'], tolerance.knife, 0.002, 0.5),
    mm(['tolerance', 'bed'], tolerance.bed, 0.002, 1),
    mm(['instrument', 'resolution'], instrument.resolution, 0.0001, 0.11),
    mm(['instrument', 'max_error'], instrument.maxError, 0.0001, 0.3),
    ...screwFigures(machine),
    {
      path: ['feed', 'speed'],
      value: feedPerKnife(machine),
      from: 0.05,
      to: 10,
      unit: 'mm of feed a knife',
    },
  ];
}

function screwFigures({ adjusters }: Machine): Figure[] {
  if (adjusters.kind !== 'screw') return [];
  const { pitch, liftPerTurn, finestTurn } = adjusters;
  const lift = { value: liftPerTurn, from: 0.02, to: 5, unit: 'mm' };
  return [
    { path: ['adjusters', 'pitch'], value: pitch, from: 0.2, to: 5, unit: 'mm' },
    // Where a turn lifts by one pitch, that has been looked at.
    ...(liftPerTurn === pitch ? [] : [{ path: ['adjusters', 'lift_per_turn'], ...lift }]),
    {
      path: ['adjusters', 'finest_turn'],
      value: finestTurn,
      from: 1 / 400,
      to: 1,
      unit: 'turns',
    },
  ];
}

function doubt({ path, value, from, to, unit }: Figure): Problem[] {
  if (value === null || (value >= from && value <= to)) return [];
  const size = value < from ? 'small' : 'large';
  return [
    {
      code: 'implausible',
      severity: 'warning',
      path,
      message: `is unusually ${size}: ${brief(value)} ${unit}`,
      expected: `${brief(from)} to ${to} ${unit}`,
      hint: CHECK_UNIT,
    },
  ];
}

function brief(value: number): string {
  return String(Number(value.toPrecision(5)));
}
