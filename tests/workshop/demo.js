/**
 * The main job as a user does it, on the invented shop of fixtures/demo: each command line, then
 * what it prints. Ends with 1 when a command ends otherwise than it should.
 */
import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = fileURLToPath(new URL('../../', import.meta.url));
const scratch = mkdtempSync(join(tmpdir(), 'proofboard-demo-'));
const first = join(scratch, 'first.json');
const machine = 'fixtures/demo/machine.toml';

const STEPS = [
  {
    story: `An invented shop: no real machine was measured, a simulator cut the boards.

Its thicknesser's boards come out uneven. First the cheap question: two strips
under power, one at each end of the block. Are the boards parallel?`,
    args: ['analyse', machine, 'fixtures/demo/two-strips.csv'],
    ends: 3,
    because: 'boards cut by all knives at once do not tell one knife from another',
  },
  {
    story: `They are not, and nothing was loose. So the machine was isolated and locked off,
and every knife scooped its own places by hand on five narrow strips; then one
board was cut under power.`,
    args: ['analyse', machine, 'fixtures/demo/boards.csv', '--out', first],
    ends: 0,
    because: 'every knife end and the bed tilt are known, whatever the verdict',
  },
  {
    story: `The screws were turned as it says, all was tightened and checked again, and the
same boards were cut and measured once more. Is it inside tolerance now, and
what did each move do?`,
    args: ['confirm', machine, 'fixtures/demo/rerun.csv', '--against', first],
    ends: 0,
    because: 'all knives and the bed are inside tolerance',
  },
];

/** Runs one step in the user's sight; whether it ended as it should. */
function show({ story, args, ends, because }) {
  process.stdout.write(`${story}\n\n$ node dist/proofboard.js ${args.join(' ')}\n\n`);
  const { status, signal } = spawnSync(process.execPath, ['dist/proofboard.js', ...args], {
    cwd: root,
    stdio: ['ignore', 'inherit', 'inherit'],
  });
  if (status === ends) {
    process.stdout.write(`\n(exit code ${status}: ${because})\n\n${'-'.repeat(80)}\n\n`);
    return true;
  }
  process.stderr.write(`\nended with ${status ?? signal}, where ${ends} was to come: ${because}\n`);
  return false;
}

try {
  const isAsTold = STEPS.every(show);
  if (isAsTold) {
    process.stdout.write(
      'That was the whole job, on the files of fixtures/demo; first.json is gone again.\n',
    );
  }
  process.exitCode = isAsTold ? 0 : 1;
} finally {
  rmSync(scratch, { recursive: true, force: true });
}
