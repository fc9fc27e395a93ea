import { jsonOf, MACHINE, proofboard, temporaryFolder, written } from '../cli/program.js';
import { type WrittenSheet, writtenSheet } from './sheets.js';

/** A sheet for one board as wide as the machine, too long and too wide for one table. */
export function widePlan(): WrittenSheet {
  const plan = jsonOf(proofboard(['plan', MACHINE, '--json']));
  const wide = {
    ...plan.boards.find(({ cut }: { cut: string }) => cut === 'hand'),
    board: 'W1',
    x: [40, 90, 150, 205, 260, 315, 370, 425, 480],
    y: [40, 160, 280, 400, 520, 640, 760],
  };
  const content = JSON.stringify({ ...plan, boards: [wide] });
  const [file] = written(temporaryFolder(), { 'plan.json': content });
  return writtenSheet(['--plan', file!]);
}
