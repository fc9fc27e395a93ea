/**
 * How long the program takes, as multiples of a bare start of node measured in the same run, since
 * seconds differ from machine to machine; and how the cost of a planed surface grows with the knives,
 * as multiples of that of one knife. What is compared takes turns, so that whatever else the machine
 * does meets all alike. Speed is shown, not tested: the exit code is always 0.
 */
import { spawnSync } from 'node:child_process';
import { performance } from 'node:perf_hooks';
import { fileURLToPath } from 'node:url';

const ROUNDS = 15;

const KNIVES = [1, 2, 3, 4, 6, 8, 12, 24];
/** One batch of calls lasts about so long, in ms: long against the clock's ticks. */
const BATCH = 3;

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

/** What is done with the surface of a block, and how it is called in the table. */
function surfaceJobs({ planedSurface, contactLevel }) {
  const level = (contact) => (heights, feed) => contactLevel(heights, feed, contact);
  return [
    { name: 'planedSurface', job: planedSurface },
    { name: 'contactLevel, wide jaws', job: level({ kind: 'flat', size: null }) },
    { name: 'contactLevel, jaws of 0.7 mm', job: level({ kind: 'flat', size: 0.7 }) },
    { name: 'contactLevel, ball of 3 mm', job: level({ kind: 'ball', size: 3 }) },
  ];
}

/** A block whose knives all leave marks: at 1 mm a knife, within 3 µm of each other. */
function blockOf(knives, feedOf) {
  const heights = Array.from({ length: knives }, (_, k) => 0.003 * ((k * 0.618) % 1));
  return { heights, feed: feedOf(1, knives, 60, null) };
}

/** The last thing computed: kept, so that the compiler may not leave the work out. */
let kept = null;

/** Microseconds of one call, the mean of a batch. */
function timeCalls(call, count) {
  const start = performance.now();
  for (let i = 0; i < count; i++) kept = call();
  const elapsed = performance.now() - start;
  if (kept === undefined) throw new Error('there is nothing to measure');
  return (elapsed * 1000) / count;
}

/** How many calls make a batch; the first ones also let the compiler see them. */
function batchSize(call) {
  let count = 64;
  while (timeCalls(call, count) * count < BATCH * 1000) count *= 2;
  return count;
}

/** The cost of a job against the number of knives, µs and as a multiple of that of one knife. */
function surfaceRows({ name, job }, feedOf) {
  const calls = KNIVES.map((knives) => {
    const { heights, feed } = blockOf(knives, feedOf);
    return () => job(heights, feed);
  });
  const counts = calls.map(batchSize);
  const rounds = Array.from({ length: ROUNDS }, () =>
    calls.map((call, i) => timeCalls(call, counts[i])),
  );
  const micros = KNIVES.map((_, i) => median(rounds.map((round) => round[i])).toFixed(2));
  const ratios = KNIVES.map((_, i) =>
    median(rounds.map((round) => round[i] / round[0])).toFixed(1),
  );
  return [
    [`${name}, ratio`, ...ratios],
    ['  µs', ...micros],
  ];
}

async function benchSurface() {
  const library = await import(new URL('../../dist/index.js', import.meta.url));
  const rows = surfaceJobs(library).flatMap((of) => surfaceRows(of, library.feedOf));
  const heading = [`knives, median of ${ROUNDS} batches in turn`, ...KNIVES.map(String)];
  process.stdout.write(`\n${table([heading, ...rows])}`);
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
  await benchSurface();
} catch (error) {
  process.stdout.write(`not measured: ${error.message}\n`);
}
