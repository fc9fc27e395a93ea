import type { Machine } from '../machine/machine.js';
import { machineFeed } from '../model/feed.js';
import { allShowWithin } from '../model/surface.js';
import type { Notice } from '../notices/notice.js';
import { knivesShareScoops } from '../plan/boards.js';
import type { PlannedBoard } from '../record/plan.js';
import type { Result } from '../record/result.js';
import { formatFine } from '../units/fine.js';
import { formatFeed } from '../units/speed.js';
import type { Spoken } from '../units/spoken.js';
import { fedMachine } from './fed-machine.js';
import { assumedNotices } from './findings.js';
import { type AssumedHeights, countedPlaces, type Foretelling, foretell } from './foretell.js';
import { FEWEST_ROUNDS, FEWEST_STATIONS, type Fixed, wantedU } from './plan-fresh.js';
import type { Next } from './plan-next.js';
import { wantedFeeds } from './wanted-feeds.js';

const HALVINGS = 20;
/** A micrometre and a thousandth of an inch, mm. */
const FINE_UNIT = { mm: 0.001, in: 0.0254 } as const;

/** A plan that starts afresh, and what it started from. */
export interface Fresh {
  readonly boards: readonly PlannedBoard[];
  readonly fixed: Fixed;
  readonly foretelling: Foretelling;
  /** The earlier result that it does not build on. */
  readonly result: Result | null;
}

/** What has to be said of a plan that starts afresh. */
export function freshNotices(
  machine: Machine,
  { boards, fixed, foretelling, result }: Fresh,
  spoken: Spoken,
): Notice[] {
  return [
    ...assumedNotices(machine),
    ...(result ? startsAfresh(result, fixed) : []),
    ...singleKnife(machine),
    ...coarseTurn(machine, spoken),
    ...blindToFaults(boards),
    ...sharedScoops(machine, boards),
    ...proudNotOffered(fixed),
    ...notReached(machine, boards, foretelling, spoken),
    ...withinReach(machine, boards, spoken),
    ...marksShowFew(machine, null, spoken),
  ];
}

/** What has to be said of boards planned from an earlier result. */
export function nextNotices(
  machine: Machine,
  result: Result,
  next: Next,
  spoken: Spoken,
): Notice[] {
  const { open, boards } = next;
  const names = open.map(({ name }) => name);
  return [
    ...assumedNotices(machine),
    ...(open.length === 0 ? [nothingOpen(result)] : [stillOpen(names)]),
    ...(result.instruments?.some(({ used }) => used > 0) ? [instrumentsLeftOut()] : []),
    ...(next.left.length > 0 ? [notSettled(boards, next.left)] : []),
    ...withinReach(machine, boards, spoken),
    ...marksShowFew(machine, next.before.heights, spoken),
  ];
}

function fixedByHand({ stations, repeats }: Fixed): boolean {
  return stations !== undefined || repeats !== undefined;
}

function startsAfresh(result: Result, fixed: Fixed): Notice[] {
  const isKnown = result.knives.some(({ ends }) => ends.some(({ offset }) => offset !== null));
  if (isKnown || fixedByHand(fixed)) {
    return [
      {
        code: 'starts-afresh',
        severity: 'info',
        message: 'these boards are planned as if nothing were measured yet',
        hint: 'leave --stations, --repeats and --cuts out to plan what is best measured next',
      },
    ];
  }
  const disagree = result.notices?.some(({ code }) => code === 'boards-disagree');
  if (!disagree && result.board.taper !== null) return [powerAnswered(result)];
  return [
    {
      code: 'starts-afresh',
      severity: 'info',
      message: disagree
        ? 'the boards of this result and their description disagree, so nothing is built on them: these boards start afresh'
        : 'this result knows no knife, so these boards start afresh',
      ...(disagree
        ? { hint: 'check the numbers of knives and boards before cutting new ones' }
        : {}),
    },
  ];
}

/** Boards under power have been cut, and nothing else: the cheap question is answered. */
function powerAnswered({ board }: Result): Notice {
  if (board.verdict !== 'inside') {
    return {
      code: 'power-answered',
      severity: 'info',
      message:
        'how boards come out is known, and they are not shown to be parallel within the tolerance: which knives stand where, strips cut by hand will tell',
    };
  }
  return {
    code: 'stop-here',
    severity: 'info',
    message:
      'boards come out parallel within the tolerance: if the finish is good, stop here and cut nothing more',
    hint: 'a block that was set right is best left alone; these boards are for a finish that is not',
  };
}

function singleKnife({ block }: Machine): Notice[] {
  if (block.knives.length > 1) return [];
  return [
    {
      code: 'single-knife',
      severity: 'info',
      message:
        'a block of one knife has no other to compare it with: boards cut under power tell all there is',
    },
  ];
}

/** Screws whose finest turn steps over the tolerance. */
function coarseTurn({ adjusters, tolerance }: Machine, spoken: Spoken): Notice[] {
  if (adjusters.kind !== 'screw') return [];
  const lift = adjusters.finestTurn * adjusters.liftPerTurn;
  if (lift <= 2 * tolerance.knife) return [];
  return [
    {
      code: 'coarse-turn',
      severity: 'warning',
      message: `the finest turn lifts by ${spoken.size(lift)}, more than the whole band of ± ${spoken.size(tolerance.knife)}: whatever boards tell, some ends cannot be set inside it`,
      hint: 'set finer parts of a turn if your hand can, and say so in finest_turn; or ask for no more than the screws can do',
    },
  ];
}

/** Where a scoop cannot be cut by one knife alone. */
function sharedScoops(machine: Machine, boards: readonly PlannedBoard[]): Notice[] {
  if (!boards.some(({ cut }) => cut === 'hand') || !knivesShareScoops(machine)) return [];
  return [
    {
      code: 'knives-share-scoops',
      severity: 'warning',
      message:
        'the knives stand so close round the block that two pass over one scoop: what is measured is then not one knife alone',
      hint: 'read the knives with a gauge instead',
    },
  ];
}

/** Too few places or rounds to see anything but heights. */
function blindToFaults(boards: readonly PlannedBoard[]): Notice[] {
  const hand = boards.filter(({ cut }) => cut === 'hand');
  if (hand.length === 0) return [];
  const stations = new Set(hand.flatMap(({ x }) => x));
  const rounds = Math.min(
    ...[...stations].map((at) =>
      hand.filter(({ x }) => x.includes(at)).reduce((sum, { y }) => sum + y.length, 0),
    ),
  );
  const few = [
    stations.size < FEWEST_STATIONS
      ? 'with fewer than four places across, a chip cannot be told from a bent knife'
      : '',
    rounds < FEWEST_ROUNDS
      ? 'with one round, a misread or a bed that moved cannot be told from a knife'
      : '',
  ].filter((text) => text !== '');
  return few.map((message) => ({ code: 'faults-hidden', severity: 'warning', message }));
}

function proudNotOffered({ cuts, leader }: Fixed): Notice[] {
  if (!cuts.includes('proud') || leader !== null) return [];
  return [
    {
      code: 'proud-not-offered',
      severity: 'warning',
      message:
        'no board of one proud knife is planned: nothing shows yet that one knife leads at every place',
      hint: 'never raise a knife for this; give --result of boards, or of knife marks, that show it',
    },
  ];
}

function notReached(
  machine: Machine,
  boards: readonly PlannedBoard[],
  { standing }: Foretelling,
  spoken: Spoken,
): Notice[] {
  const wanted = wantedU(machine);
  const hand = boards.some(({ cut }) => cut === 'hand');
  const widest = Math.max(0, ...standing.offsets.flat().map((end) => end?.U ?? 0));
  const notices: Notice[] = [];
  if (hand && widest > wanted.end) {
    notices.push({
      code: 'wanted-not-reached',
      severity: 'warning',
      message:
        `a knife's end will be known to ± ${spoken.size(widest)}; a quarter of its tolerance, ` +
        `${spoken.size(wanted.end)}, is not reached`,
      hint:
        `an instrument whose reading is good to ${fineEnough(machine, boards, wanted.end, spoken.unit)} ` +
        '(standard deviation) would do; or more stations and repeats, or a gauge on the knives',
    });
  }
  if (standing.tilt && standing.tilt.U > wanted.bed) {
    notices.push({
      code: 'wanted-not-reached',
      severity: 'warning',
      message:
        `the bed's tilt will be known to ± ${spoken.size(standing.tilt.U)}; a quarter of its tolerance, ` +
        `${spoken.size(wanted.bed)}, is not reached`,
      hint: boards.some(({ x }) => x.length > 1)
        ? 'a finer instrument, or more stations and repeats, would narrow it'
        : "what the bed's lock repeats to decides it: a board as wide as the machine needs no lock, so allow full boards in --cuts",
    });
  }
  return notices;
}

/**
 * How fine an instrument would have to be for knives' ends to be known as well as is wanted, by the
 * same boards: found by halving, and to two digits rounded down.
 */
function fineEnough(
  machine: Machine,
  boards: readonly PlannedBoard[],
  wanted: number,
  unit: 'mm' | 'in',
): string {
  const places = countedPlaces(boards);
  const widestAt = (readingSd: number) => {
    const instrument = { ...machine.instrument, readingSd };
    const { standing } = foretell({ ...machine, instrument }, places);
    return Math.max(...standing.offsets.flat().map((end) => end?.U ?? 0));
  };
  // The ends are never known better than a single reading by the square root of so many readings.
  let [fine, coarse] = [0, wanted * Math.sqrt(places.reduce((sum, { count }) => sum + count, 0))];
  for (let i = 0; i < HALVINGS; i++) {
    const middle = (fine + coarse) / 2;
    if (widestAt(middle) <= wanted) fine = middle;
    else coarse = middle;
  }
  const step = 10 ** (Math.floor(Math.log10(fine / FINE_UNIT[unit])) - 1) * FINE_UNIT[unit];
  return formatFine(Math.floor(fine / step) * step, unit);
}

/** Calipers reach in only so far from an edge. */
function withinReach(machine: Machine, boards: readonly PlannedBoard[], spoken: Spoken): Notice[] {
  const { reach } = machine.instrument;
  if (!boards.some(({ x }) => x.length > 1)) return [];
  const far =
    reach === null
      ? 'as far in from an edge as their jaws reach'
      : `${spoken.place(reach)} in from an edge`;
  return [
    {
      code: 'wide-board',
      severity: 'info',
      message: `calipers measure only ${far}: saw the wide board across, clear of its ends, and measure along the sawn edge`,
    },
  ];
}

/**
 * How far knife marks would tell at this feed, before anyone reaches for a loupe, and the feed at which
 * they would tell of all: of the knives as they stand, or of one that is low by the whole tolerance.
 */
function marksShowFew(machine: Machine, heights: AssumedHeights | null, spoken: Spoken): Notice[] {
  const feed = machineFeed(machine);
  const within = feed && allShowWithin(feed);
  const { fed } = fedMachine(machine, '', undefined);
  if (!within || !fed) return [];
  const oneLow = machine.block.knives.map((_, k) => (k === 0 ? -machine.tolerance.knife : 0));
  const known = heights ? [0, 1, 2].map((place) => heights.map((each) => each[place]!)) : [oneLow];
  const { wanted } = wantedFeeds(fed, known, [{ wish: 'all-show', value: null }], spoken.unit);
  const speed = wanted[0]?.feed ?? null;
  // At the machine's own feed all would show already.
  if (speed === null || speed <= fed.feedSpeed) return [];
  const which = heights ? 'as these stand' : 'with one knife low by the whole tolerance';
  return [
    {
      code: 'marks-show-few',
      severity: 'info',
      message:
        `knife marks tell of all knives only where these stand within ${formatFine(within, spoken.unit)} of each other at this feed; ` +
        `${which} all would show only from ${formatFeed(speed, spoken.unit)} on: boards first, a loupe for the knives that finish`,
      hint: 'more of that tells proofboard marks; the manual says what the machine may be fed at',
    },
  ];
}

function nothingOpen({ moves }: Result): Notice {
  return {
    code: 'nothing-open',
    severity: 'info',
    message:
      moves.length > 0
        ? 'every knife end and the bed are decided: no board is needed before the moves are made; after them cut the boards of a plan without --result, and confirm with --against'
        : 'every knife end and the bed are decided: no board is needed',
  };
}

function stillOpen(names: readonly string[]): Notice {
  return { code: 'still-open', severity: 'info', message: `still open: ${names.join(', ')}` };
}

function notSettled(boards: readonly PlannedBoard[], names: readonly string[]): Notice {
  return {
    code: 'not-settled',
    severity: 'warning',
    message:
      boards.length === 0
        ? 'no board or reading would tell much more of what is open'
        : `these boards tell more of what is open, and may not decide all of it: ${names.join(', ')}`,
    hint: 'what stands close to its limit is sooner set right than measured',
  };
}

function instrumentsLeftOut(): Notice {
  return {
    code: 'instruments-left-out',
    severity: 'info',
    message:
      'readings of gauge, carries and knife marks are not kept in a result: what it knows by them stays, and what boards add to that is not counted',
  };
}
