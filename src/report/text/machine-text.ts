import type { Machine } from '../../machine/machine.js';
import { formatLength } from '../../units/length.js';
import { formatTurns } from '../../units/turns.js';
import { section, table, wrap } from './layout.js';

/** What a machine file was understood to say, defaults included. */
export function machineText(machine: Machine, perKnife: number | null, unit: 'mm' | 'in'): string {
  const length = (mm: number) => formatLength(mm, unit, unit === 'mm' ? 3 : 4);
  const { block, adjusters, bed, tolerance, instrument } = machine;
  const rows: [string, string][] = [
    ['knives', block.knives.join(', ')],
    ['cutting circle', `${length(block.cuttingDiameter)} across`],
    ['block', `${length(block.length)} long`],
    ['adjusters', `${adjusters.at.map(length).join(', ')} (${adjusters.names.join(' to ')})`],
    ...adjusterRows(machine, length),
    [
      'bed',
      bed.repeatability === null
        ? 'lock of unknown worth'
        : `repeats within ${length(bed.repeatability)}`,
    ],
    ['tolerance', `each knife ± ${length(tolerance.knife)}, bed tilt ± ${length(tolerance.bed)}`],
    ['instrument', `reads ${length(instrument.resolution)}, within ${length(instrument.maxError)}`],
    ['feed per knife', perKnife === null ? 'not given' : length(perKnife)],
  ];
  const lines = [
    machine.name,
    ...table(rows, '  '),
    ...section(
      'Not in the file, and taken as',
      machine.assumed.flatMap(({ key, value }) => wrap(`${key}: ${value}`, '  - ')),
    ),
  ];
  return `${lines.join('\n')}\n`;
}

function adjusterRows({ adjusters }: Machine, length: (mm: number) => string): [string, string][] {
  if (adjusters.kind === 'shim') {
    const stock = adjusters.stock.map(
      ({ thickness, count }) => `${length(thickness)}${count === null ? '' : ` × ${count}`}`,
    );
    return [['shims', `${stock.join(', ')}; at most ${adjusters.most} an end`]];
  }
  const { liftPerTurn, raisedBy, finestTurn, thread } = adjusters;
  return [
    [
      'screws',
      `${thread ?? 'thread by its pitch'}: a turn ${raisedBy} raises by ${length(liftPerTurn)}; ` +
        `finest ${formatTurns(finestTurn, finestTurn)}`,
    ],
  ];
}
