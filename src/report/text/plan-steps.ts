import type { Machine } from '../../machine/machine.js';
import type { Plan, PlannedBoard } from '../../record/plan.js';
import type { Figures } from './figures.js';
import { table, wrap } from './layout.js';

/** Ids in a cell of a table take at most so many columns. */
const WIDEST_IDS = 20;

/** The two strips that come before anything else, and when to stop there. */
export function cheapQuestion(
  { boards }: Plan,
  machine: Machine,
  machineFile: string,
  figures: Figures,
): string[] {
  const strips = boards.filter(({ cut, x, again }) => cut === 'full' && x.length === 1 && !again);
  if (strips.length === 0) return [];
  const { tolerance } = machine;
  const names = strips.map(({ board }) => board).join(' and ');
  return [
    ...wrap(
      'Is anything loose? Check the bed lock, the bed slides and every wedge screw, machine isolated and locked off.',
      '  1. ',
    ),
    ...wrap(
      `All guards on, plane ${names} under power at one locked bed height, each at its place across, ${figures.position(powerLength(strips))} long at least and no shorter or narrower than the manual allows; measure each along its middle, clear of both ends.`,
      '  2. ',
    ),
    ...wrap(`Run: proofboard analyse ${machineFile} boards.csv`, '  3. '),
    ...wrap(
      `If boards come out parallel within ${figures.size(tolerance.bed)} and the finish is good, stop here: a block that was set right is best left alone. If not, go on in the same file: their readings count in what follows.`,
      '  4. ',
    ),
  ];
}

/** Behind the last place along a board as much is left as before the first, for the rollers. */
function powerLength(boards: readonly PlannedBoard[]): number {
  return Math.max(...boards.map(({ y }) => y.at(-1)! + y[0]!));
}

/** Every board in a line or two. */
export function boardsTable({ boards }: Plan, figures: Figures): string[] {
  if (boards.length === 0) return [];
  // The unit stands below the table.
  const bare = (mm: number) => figures.position(mm).replace(/ .*/, '');
  const rows = boards.map(({ board, cut, knives, x, y, again }) => [
    board,
    again ? 'measure again' : cut === 'hand' ? 'by hand' : 'under power',
    knivesInShort(knives),
    x.map(bare).join(', '),
    rounds(cut, y, again === true),
    y.map(bare).join(', '),
  ]);
  const head = ['board', 'cut', 'knife', 'x across', 'how often', 'y along'];
  const unit = figures.unit === 'mm' ? 'mm' : 'inches';
  return [
    ...table([head, ...rows], '  ').flatMap((line) => foldTail(line)),
    ...wrap(
      `x in ${unit} across the bed from a mark at the end of the block that is called its front, not the infeed side; y in ${unit} from the board's leading end${boards.some(({ spacing }) => spacing !== null) ? ': by hand, where the first knife of each round cuts' : ''}.`,
      '  ',
    ),
    ...ownSetting(boards),
  ];
}

/** Boards that are analysed together with those of before, though the bed may have been moved. */
function ownSetting(boards: readonly PlannedBoard[]): string[] {
  const later = boards.filter(({ again, setting }) => !again && setting !== undefined);
  if (later.length === 0) return [];
  const names = later.map(({ board }) => board).join(', ');
  return wrap(
    `Write "${later[0]!.setting}" into the column setting of all readings of ${names}: the bed may stand at another height than it did for the boards before. Then analyse the old readings and the new ones together.`,
    '  ',
  );
}

/** Knives as a table's cell: how many, where their ids would not fit. */
export function knivesInShort(knives: readonly string[]): string {
  const ids = knives.join(', ');
  return ids.length <= WIDEST_IDS || knives.length === 1 ? ids : `each of ${knives.length}`;
}

function rounds(cut: PlannedBoard['cut'], y: readonly number[], again: boolean): string {
  if (again || cut !== 'hand') return y.length === 1 ? 'once' : `${y.length} times`;
  return y.length === 1 ? '1 round' : `${y.length} rounds`;
}

/** A row that is wider than the page goes on below its last column. */
function foldTail(line: string): string[] {
  const WIDTH = 80;
  if (line.length <= WIDTH) return [line];
  const at = line.lastIndexOf('  ') + 2;
  return wrap(line.slice(at), line.slice(0, at));
}

/** How scoops are cut by hand and measured. */
export function byHand({ boards }: Plan, machine: Machine, figures: Figures): string[] {
  const strips = boards.filter(({ cut, again }) => cut === 'hand' && !again);
  const [first] = strips;
  if (!first) return measuredAgain(boards);
  const width = first.width ?? 0;
  const length = Math.max(...strips.map((strip) => strip.length ?? 0));
  const spacing = figures.position(first.spacing ?? 0);
  const order = first.knives;
  const steps = [
    'Stop the machine, isolate it and lock it off; prove that it cannot start. Number the knives on the block with a marker, in the order in which they pass.',
    `Saw strips of straight-grained wood, planed flat, ${figures.position(width)} wide at most${narrowEnough(machine, width)}, and ${figures.position(length)} long.`,
    `Mark a line across each strip every ${spacing}, from ${figures.position(first.y[0]!)} behind the leading end, and write the knives beside them: ${order.join(', ')} in the first round, ${order.toReversed().join(', ')} in the next, the order reversed each round.${otherWayRound(strips, order)}`,
    `Lay the first strip in at its x, pressed flat on the bed with a batten or push stick from outside the block by a second person, never with a hand under or beside it. Raise the bed until a knife turned by hand scoops about ${figures.unit === 'mm' ? '1 mm' : '0.04 in'} deep; lock it, and leave it locked until all strips are cut.`,
    `Turn the block by its pulley or belt, slowly and in the way it cuts, until the knife has passed over its line and left its scoop. Draw the strip clear until the knife of the next line comes round, so that no other knife touches it; then put that line, ${spacing} on, where the first one was. Go on until the strip is full, then lay in the next.`,
    'Measure the bottom of each scoop with blade or point jaws, square across the strip: three tries, and write down the smallest.',
  ];
  return [...steps.flatMap((step, i) => wrap(step, `  ${i + 1}. `)), ...measuredAgain(boards)];
}

/** The reach of the calipers, where it does not decide how wide a strip is. */
function narrowEnough({ instrument: { reach } }: Machine, width: number): string {
  if (reach === null) return ', and no wider than the jaws of the calipers reach in';
  return reach <= width ? ', which is as far as the jaws reach in' : '';
}

/** Further strips at a place, on which the rounds go on with the order reversed. */
function otherWayRound(strips: readonly PlannedBoard[], order: readonly string[]): string {
  const others = strips.filter(({ knives }) => knives[0] !== order[0]);
  if (others.length === 0) return '';
  return ` The other way round from the first round on: ${others.map(({ board }) => board).join(', ')}.`;
}

function measuredAgain(boards: readonly PlannedBoard[]): string[] {
  if (!boards.some(({ again }) => again)) return [];
  return wrap(
    'Places to be measured again: the same scoop, the same jaws, three tries, the smallest. No screw may have been turned since. Write the new reading as one more row, and leave the old one in.',
    '  ',
  );
}

/** A board as wide as the machine. */
export function planedWide({ boards }: Plan, figures: Figures): string[] {
  const wide = boards.filter(({ cut, x, again }) => cut !== 'hand' && x.length > 1 && !again);
  if (wide.length === 0) return [];
  const names = wide.map(({ board }) => board).join(' and ');
  const hasStrips = boards.some(({ cut, x, again }) => cut === 'full' && x.length === 1 && !again);
  const height = hasStrips
    ? ', the bed locked where it was for the strips under power; if it has been moved, give these readings a word of their own in the column setting'
    : '';
  return wrap(
    `${names}: one board as wide as the machine takes with clearance at both sides, planed once under power with all guards on, ${figures.position(powerLength(wide))} long at least and no shorter than the manual allows${height}. One board needs no lock to tell its two edges against each other.`,
    '  ',
  );
}

/** What else can be done where the block cannot be turned by hand, or the rollers hold the strip. */
export function otherwise(
  { instead, boards }: Plan,
  machine: Machine,
  machineFile: string,
  figures: Figures,
): string[] {
  const strips = boards.some(({ cut }) => cut === 'full')
    ? 'the boards under power'
    : 'two strips planed under power, one at each end';
  return instead.flatMap(({ x, times, expected }) => {
    const { knifeEndU } = expected;
    const told =
      knifeEndU === null ? '' : ` A knife's end is then known to ± ${figures.size(knifeEndU)}.`;
    return [
      ...wrap(
        'The block cannot be turned by hand, or the feed rollers hold the strip so that it cannot be moved by hand: do not force either.',
        '  ',
      ),
      ...wrap(
        `Machine isolated and locked off, read a dial indicator on every knife's edge at x ${x.map(figures.position).join(', ')}, ${times} times round (columns knife, x, reading, zero), and give it with ${strips}: proofboard analyse ${machineFile} boards.csv --gauge gauge.csv.${told}`,
        '  - ',
      ),
      ...wrap(
        `Or plane one board under power, isolate the machine and lower the knife that leads by a known ${machine.adjusters.kind === 'screw' ? 'part of a turn' : 'amount'} (never raise one for a test), tighten it in the manual's order, turn the block by hand through a full turn, and plane another: what changed is that knife's. Keep the readings of both runs; fitting them together is not yet possible.`,
        '  - ',
      ),
    ];
  });
}
