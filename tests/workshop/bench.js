/**
 * How long the program takes, as multiples of a bare start of node measured in the same run, since
 * seconds differ from machine to machine. The kinds of start take turns, so that whatever else the
 * machine does meets all of them alike. Speed is shown, not tested: the exit code is always 0.
 */
import { spawnSync } from 'node:child_process';
import { performance } from 'node:perf_hooks';
import { fileURLToPath } from 'node:url';

const ROUNDS = 15;

const program = fileURLToPath(new URL('../../dist/proofboard.js', import.meta.url));
const demo = (name) => fileURLToPath(new URL(`../../fixtures/demo/${name}`, import.meta.url));

const STARTS = [
  { name: 'node -e 0', args: ['-e', '0'], goal: null },
  { name: 'proofboard --version', args: [program, '--version'], goal: 1.6 },
  {
    name: 'proofboard analyse, 100 readings',
    args: [program, 'analyse', demo('machine.toml'), demo('boards.csv')],
    goal: 3,
  },
];

/** Milliseconds from start to end of one run; a run that fails would be no measurement. */
function time({ name, args }) {
  const start = performance.now();
  const { status, stderr } = spawnSync(process.execPath, args, { encoding: 'utf8' });
  const elapsed = performance.now() - start;
  if (status !== 0) throw new Error(`${name} ended with ${status}: ${stderr}`);
  return elapsed;
}

function median(values) {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length / 2;
  return (sorted[Math.ceil(middle) - 1] + sorted[Math.floor(middle)]) / 2;
}

/** One row of the table; each ratio is to the bare start of its own round. */
function row({ name, goal }, times, bareTimes) {
  const ratio = median(times.map((time, round) => time / bareTimes[round]));
  const verdict = goal === null ? '' : ratio <= goal ? 'met' : 'not met';
  return [
    name,
    median(times).toFixed(0),
    ratio.toFixed(2),
    goal === null ? '' : `≤ ${goal.toFixed(1)}`,
    verdict,
  ];
}

function table(rows) {
  const widths = rows[0].map((_, column) => Math.max(...rows.map((cells) => cells[column].length)));
  const line = ([name, ...figures]) =>
    [name.padEnd(widths[0]), ...figures.map((cell, i) => cell.padStart(widths[i + 1]))].join('  ');
  return rows.map((cells) => `${line(cells).trimEnd()}\n`).join('');
}

function bench() {
  for (const start of STARTS) time(start); // the disk's cache warmed
  const rounds = Array.from({ length: ROUNDS }, () => STARTS.map(time));
  const timesOf = (index) => rounds.map((round) => round[index]);
  const rows = STARTS.map((start, index) => row(start, timesOf(index), timesOf(0)));
  const heading = [`median of ${ROUNDS} runs in turn`, 'ms', 'ratio', 'goal', ''];
  process.stdout.write(table([heading, ...rows]));
}

try {
  bench();
} catch (error) {
  process.stdout.write(`not measured: ${error.message}\n`);
}
