/** How an answer is written, and what of TOML it becomes. */
export type Form =
  | 'text'
  | 'choice'
  | 'yes-no'
  | 'ids'
  | 'names'
  | 'length'
  | 'lengths'
  | 'repeatability'
  | 'numbers'
  | 'rotation'
  | 'feed'
  | 'thread'
  | 'turns'
  | 'stock'
  | 'count'
  | 'day'
  | 'contact';

/** Questions that not every machine needs, which one yes or no opens or passes over. */
export interface Group {
  readonly name: string;
  readonly title: string;
  readonly ask: string;
  readonly why: string;
}

/** One key of the machine file: what is asked for it, its option, its comment in a file. */
export interface Question {
  /** Its name within the file, tables and all. */
  readonly key: string;
  readonly option: string;
  readonly title: string;
  /** What it is, in a few words: on screen, in the help and in the file. */
  readonly what: string;
  readonly why: string;
  readonly form: Form;
  /** The words of a choice. */
  readonly words?: readonly string[];
  /** A value as somebody would write it, where lengths are in mm and where they are in inches. */
  readonly typical: { readonly mm: string; readonly in: string };
  /** What makes the rest of a file whole while it is not answered yet. */
  readonly standIn?: string;
  readonly group?: string;
  /** Asked where the adjusters are of this kind. */
  readonly kind?: 'screw' | 'shim';
  /** Asked where this other key has an answer. */
  readonly needs?: string;
  /** Asked where this other key has none: only one of the two may stand in a file. */
  readonly rival?: string;
  /** Takes the place of this key where it is passed over. */
  readonly insteadOf?: string;
  /** What passing it over means, where the reader of the file takes no value for it. */
  readonly passed?: string;
  /** What to mind before hands go to the machine. */
  readonly caution?: string;
}

export const GROUPS: readonly Group[] = [
  {
    name: 'angles',
    title: 'Rarely needed',
    ask: 'Are the knives spaced unevenly round the block?',
    why: 'Most blocks space them evenly; where they do not, knife marks come out differently.',
  },
  {
    name: 'projection',
    title: 'How far a knife may stand out',
    ask: 'Does the block or its manual limit how far a knife may stand out?',
    why: 'With the limit and one measured projection, no knife is ever told to be raised beyond it.',
  },
  {
    name: 'screws',
    title: 'Rarely needed',
    ask: 'Do you know more about the screws: their lift, your hand?',
    why: 'Only needed where a turn does not lift by one pitch (a sloping screw, a lever), or where you have measured how exactly you turn.',
  },
  {
    name: 'names',
    title: 'The two ends',
    ask: 'Do you want other names for the two ends than front and back?',
    why: 'For example left and right: every message and table then uses them.',
  },
  {
    name: 'bed-screws',
    title: 'The bed',
    ask: 'Has the bed levelling screws of its own?',
    why: 'Where the bed is tilted, it is they that mend it, not the knives.',
  },
  {
    name: 'calipers',
    title: 'More about the calipers',
    ask: 'Do you know more about the calipers: jaws, reach, scatter?',
    why: 'How deep the jaws reach decides how wide a test strip may be, and what touches the wood how a scoop is read.',
  },
  {
    name: 'set',
    title: 'The knives that are in',
    ask: 'Do you want to note which set of knives is in?',
    why: 'The note is carried into every result, so that later you can tell sets apart.',
  },
];

const LOCKED_OFF = 'machine isolated and locked off before hands come near the block';

function both(text: string): { readonly mm: string; readonly in: string } {
  return { mm: text, in: text };
}

/** Every key of a machine file, in the order in which it is asked for and stands in a file. */
export const QUESTIONS: readonly Question[] = [
  {
    key: 'name',
    option: 'name',
    title: 'Name',
    what: 'what you call this machine',
    why: 'Results carry it, and those of one machine are never compared with those of another.',
    form: 'text',
    typical: both('Bench thicknesser'),
    standIn: '"machine"',
  },
  {
    key: 'unit',
    option: 'unit',
    title: 'Unit',
    what: 'what a number without a unit means, here and in readings: mm or in',
    why: 'Write each number as your rule and calipers show it. A length with its own unit is always understood.',
    form: 'choice',
    words: ['mm', 'in'],
    typical: both('mm'),
  },
  {
    key: 'block.knives',
    option: 'knives',
    title: 'Knives',
    what: 'the knives in the order in which they pass a fixed point',
    why: 'Readings name the knife that cut, and knife marks follow this order. Mark each knife or its place with its name.',
    form: 'ids',
    typical: both('4'),
    standIn: '["1"]',
    caution: `${LOCKED_OFF}; turn the block by its pulley or belt, never by the block or a knife.`,
  },
  {
    key: 'block.cutting_diameter',
    option: 'cutting-diameter',
    title: 'Cutting diameter',
    what: "the circle that the knives' edges sweep, straight across",
    why: 'Knife marks and scoops are arcs of it. The manual or the plate gives it; within 1 % is near enough.',
    form: 'length',
    typical: { mm: '120', in: '3 3/4 in' },
    standIn: '"100 mm"',
    caution: `If you have to measure it: ${LOCKED_OFF}.`,
  },
  {
    key: 'block.length',
    option: 'block-length',
    title: 'Block length',
    what: 'the length of the block, or the width that it can plane',
    why: 'Positions across the machine, x, count from 0 at one end of the block, called the front here, to this; any beyond it is a slip. Mark that end on the bed.',
    form: 'length',
    typical: { mm: '520', in: '20 1/2 in' },
    standIn: '"1000 mm"',
  },
  {
    key: 'block.speed',
    option: 'block-speed',
    title: 'Block speed',
    what: 'how fast the block turns, revolutions a minute (rpm)',
    why: 'With the feed it gives the length of a knife mark, and which knives finish the surface.',
    form: 'rotation',
    typical: both('4500 rpm'),
    passed: 'no knife marks are worked out, and full boards count as showing the highest knife',
  },
  {
    key: 'block.max_speed',
    option: 'max-speed',
    title: 'Highest speed',
    what: 'the highest speed marked on the block, revolutions a minute (rpm)',
    why: 'A speed above the marking is warned of.',
    form: 'rotation',
    typical: both('5500 rpm'),
    passed: 'the speed is not held against the marking',
  },
  {
    key: 'block.max_projection',
    option: 'max-projection',
    title: 'Projection limit',
    what: "how far an edge may stand out of the block's body, at most",
    why: 'No move will ever raise a knife beyond it.',
    form: 'length',
    typical: { mm: '1.1', in: '0.043' },
    group: 'projection',
    passed: 'moves are not held against a limit; you have to',
  },
  {
    key: 'block.projection.knife',
    option: 'projection-knife',
    title: 'Measured knife',
    what: 'the knife whose projection you measured',
    why: 'One measured edge tells where all the others stand, since readings compare them.',
    form: 'text',
    typical: both('1'),
    standIn: '"1"',
    group: 'projection',
    needs: 'block.max_projection',
  },
  {
    key: 'block.projection.x',
    option: 'projection-x',
    title: 'Measured at x',
    what: 'where along the block you measured it, from the end where x is 0',
    why: 'A knife may stand further out at one end than at the other.',
    form: 'length',
    typical: { mm: '40', in: '1 1/2' },
    standIn: '"0 mm"',
    group: 'projection',
    needs: 'block.max_projection',
  },
  {
    key: 'block.projection.value',
    option: 'projection-value',
    title: 'Projection',
    what: "how far that edge stands out of the block's body there, as it is now",
    why: 'The limit counts from it.',
    form: 'length',
    typical: { mm: '0.9', in: '0.035' },
    standIn: '"0 mm"',
    group: 'projection',
    needs: 'block.max_projection',
    caution: `${LOCKED_OFF}, and prove that it cannot start; gloves on; turn the block by its pulley or belt; measure with the wedge bars tight.`,
  },
  {
    key: 'block.angles',
    option: 'angles',
    title: 'Angles',
    what: 'where each knife stands round the block, in degrees, in the same order',
    why: 'Marks of unevenly spaced knives differ in length though all stand equally high.',
    form: 'numbers',
    typical: both('0, 118, 240'),
    group: 'angles',
    passed: 'the knives are evenly spaced',
    caution: `${LOCKED_OFF}.`,
  },
  {
    key: 'feed.speed',
    option: 'feed-speed',
    title: 'Feed speed',
    what: 'how fast a board goes through, such as m/min or ft/min',
    why: 'With the speed of the block it gives the length of a knife mark.',
    form: 'feed',
    typical: { mm: '9 m/min', in: '30 ft/min' },
    passed: 'no knife marks are worked out, and full boards count as showing the highest knife',
  },
  {
    key: 'adjusters.kind',
    option: 'adjusters',
    title: 'Adjusters',
    what: 'what sets the height of a knife: screw or shim',
    why: 'Moves are then told in turns of a screw, or in shims to be put under the knife.',
    form: 'choice',
    words: ['screw', 'shim'],
    typical: both('screw'),
  },
  {
    key: 'adjusters.at',
    option: 'at',
    title: 'Positions',
    what: 'where the adjusters of a knife stand along the block, from the end where x is 0',
    why: 'Each knife is judged at the outer two, and that is where it is moved.',
    form: 'lengths',
    typical: { mm: '40, 480', in: '1 1/2, 19' },
    standIn: '["0 mm", "1 mm"]',
    caution: `If you have to measure them: ${LOCKED_OFF}.`,
  },
  {
    key: 'adjusters.thread',
    option: 'thread',
    title: 'Thread',
    what: 'the thread of the adjusting screws',
    why: 'Its pitch is how far a turn moves the knife.',
    form: 'thread',
    typical: { mm: 'M6', in: '1/4-28' },
    standIn: '"M6"',
    kind: 'screw',
    rival: 'adjusters.pitch',
    passed: 'the pitch is asked for next',
  },
  {
    key: 'adjusters.pitch',
    option: 'pitch',
    title: 'Pitch',
    what: 'how far a screw goes in one turn, from thread to thread',
    why: 'It is how far a turn moves the knife. For threads an inch, 1/28 in is 28 of them.',
    form: 'length',
    typical: { mm: '1', in: '1/28 in' },
    kind: 'screw',
    rival: 'adjusters.thread',
    insteadOf: 'adjusters.thread',
    passed: 'then what a turn lifts has to be given',
  },
  {
    key: 'adjusters.raised_by',
    option: 'raised-by',
    title: 'Raised by',
    what: "the turn that raises a knife, clockwise or anticlockwise, looking at the screw's driven end",
    why: 'It decides which way you are told to turn. Turned the wrong way, an error doubles.',
    form: 'choice',
    words: ['clockwise', 'anticlockwise'],
    typical: both('anticlockwise'),
    standIn: '"clockwise"',
    kind: 'screw',
    caution: `${LOCKED_OFF}. If you have to try it: slacken the wedge screws of one knife, turn one screw a quarter and watch the edge, turn it back, and tighten all in the manual's order.`,
  },
  {
    key: 'adjusters.finest_turn',
    option: 'finest-turn',
    title: 'Finest turn',
    what: 'the smallest part of a turn that you can set',
    why: 'Moves are whole multiples of it, so that nobody is asked for a turn that no hand can make.',
    form: 'turns',
    typical: both('1/16'),
    standIn: '"1/16"',
    kind: 'screw',
  },
  {
    key: 'adjusters.approach',
    option: 'approach',
    title: 'Approach',
    what: 'the last movement, which takes up slack: raise or lower',
    why: "The manual says it; a screw that ends against its slack doesn't stay where it was set.",
    form: 'choice',
    words: ['raise', 'lower'],
    typical: both('raise'),
    kind: 'screw',
    passed: 'moves do not say how slack is taken up',
  },
  {
    key: 'adjusters.lift_per_turn',
    option: 'lift-per-turn',
    title: 'Lift a turn',
    what: 'how far one turn of the screw lifts the knife',
    why: 'A screw that stands at a slant, or works through a lever, lifts by less than its pitch.',
    form: 'length',
    typical: { mm: '1', in: '0.036' },
    group: 'screws',
    kind: 'screw',
    insteadOf: 'adjusters.thread',
  },
  {
    key: 'adjusters.turn_sd',
    option: 'turn-sd',
    title: 'Scatter of a turn',
    what: 'the standard deviation of a turn that your hand makes, in turns',
    why: 'It decides how surely a move brings a knife inside.',
    form: 'turns',
    typical: both('0.01'),
    group: 'screws',
    kind: 'screw',
  },
  {
    key: 'adjusters.stock',
    option: 'stock',
    title: 'Shims at hand',
    what: 'the thicknesses of your shims; "x 6" behind one where there are only 6 of it',
    why: 'Only these are put together into moves.',
    form: 'stock',
    typical: { mm: '0.02, 0.05 x 6, 0.1', in: '0.001, 0.002 x 6, 0.004' },
    standIn: '["0.1 mm"]',
    kind: 'shim',
  },
  {
    key: 'adjusters.most',
    option: 'most',
    title: 'Most shims',
    what: 'how many shims may lie on each other under one end, at most',
    why: 'A pile of shims gives.',
    form: 'count',
    typical: both('3'),
    kind: 'shim',
  },
  {
    key: 'adjusters.names',
    option: 'end-names',
    title: 'Names of the ends',
    what: 'what the ends of a knife are called, that at small x first',
    why: 'Every message and table uses them.',
    form: 'names',
    typical: both('left, right'),
    group: 'names',
  },
  {
    key: 'bed.repeatability',
    option: 'repeatability',
    title: 'Repeatability',
    what: 'how much the locked bed still moves from board to board (standard deviation)',
    why: 'Boards are compared as far as the bed stays where it is. The word unknown trusts it in nothing.',
    form: 'repeatability',
    typical: { mm: '0.005', in: '0.0002' },
  },
  {
    key: 'bed.at',
    option: 'bed-at',
    title: 'Levelling screws',
    what: "where the bed's levelling screws stand along the block, from the end where x is 0",
    why: 'A tilt of the bed is mended there.',
    form: 'lengths',
    typical: { mm: '60, 460', in: '2 1/2, 18' },
    group: 'bed-screws',
    passed: 'the bed has no screws of its own',
    caution: `If you have to measure them: ${LOCKED_OFF}.`,
  },
  {
    key: 'bed.thread',
    option: 'bed-thread',
    title: 'Their thread',
    what: 'the thread of the levelling screws',
    why: 'Its pitch is how far a turn moves the bed.',
    form: 'thread',
    typical: { mm: 'M8', in: '5/16-18' },
    group: 'bed-screws',
    needs: 'bed.at',
    rival: 'bed.pitch',
    passed: 'the pitch is asked for next',
  },
  {
    key: 'bed.pitch',
    option: 'bed-pitch',
    title: 'Their pitch',
    what: 'how far a levelling screw goes in one turn',
    why: 'It is how far a turn moves the bed.',
    form: 'length',
    typical: { mm: '1.25', in: '1/18 in' },
    group: 'bed-screws',
    needs: 'bed.at',
    rival: 'bed.thread',
    passed: 'how far a turn moves the bed stays open',
  },
  {
    key: 'outfeed.present',
    option: 'outfeed',
    title: 'Outfeed table',
    what: 'whether the block also planes over an outfeed table set to it',
    why: 'Knives that are moved then no longer agree with that table, which has to be set again.',
    form: 'yes-no',
    typical: both('no'),
    passed: 'there is no outfeed table',
  },
  {
    key: 'tolerance.knife',
    option: 'knife-tolerance',
    title: 'Knife tolerance',
    what: 'how far each end of a knife may stand from the mean of the knives, plus or minus',
    why: 'It decides what is inside and what has to be turned.',
    form: 'length',
    typical: { mm: '0.05', in: '0.002' },
  },
  {
    key: 'tolerance.bed',
    option: 'bed-tolerance',
    title: 'Bed tolerance',
    what: 'how far the bed may be tilted over the span of the adjusters, plus or minus',
    why: 'Boards come out thicker at one edge by as much as the bed is tilted.',
    form: 'length',
    typical: { mm: '0.1', in: '0.004' },
  },
  {
    key: 'instrument.resolution',
    option: 'resolution',
    title: 'Resolution',
    what: 'the last step that your calipers show',
    why: 'What rounds away cannot be told; how sure a result is starts from here.',
    form: 'length',
    typical: { mm: '0.01', in: '0.0005' },
  },
  {
    key: 'instrument.max_error',
    option: 'max-error',
    title: 'Largest error',
    what: "the calipers' maximum permissible error, plus or minus",
    why: 'Their data sheet or certificate says it; it counts until your own readings tell their scatter.',
    form: 'length',
    typical: { mm: '0.02', in: '0.001' },
  },
  {
    key: 'instrument.contact',
    option: 'contact',
    title: 'Contact',
    what: 'what touches the wood: point, flat with its width, or ball with its diameter',
    why: 'Wide jaws bridge the bottom of a scoop, points do not.',
    form: 'contact',
    typical: { mm: 'flat 3 mm', in: 'flat 1/8 in' },
    group: 'calipers',
    passed: 'wide jaws are not allowed for',
  },
  {
    key: 'instrument.reach',
    option: 'reach',
    title: 'Reach',
    what: 'how deep the jaws reach in from the edge of a board',
    why: 'A strip must not be wider, or its middle cannot be measured.',
    form: 'length',
    typical: { mm: '40', in: '1 1/2' },
    group: 'calipers',
    passed: 'how wide a strip may be stays open',
  },
  {
    key: 'instrument.reading_sd',
    option: 'reading-sd',
    title: 'Scatter of readings',
    what: 'the standard deviation of one reading, where you have measured it',
    why: 'If known, it takes the place of what the data sheet says; if in doubt, pass it over.',
    form: 'length',
    typical: { mm: '0.008', in: '0.0003' },
    group: 'calipers',
    passed: 'it is found from the readings themselves',
  },
  {
    key: 'set.name',
    option: 'set-name',
    title: 'Knife set',
    what: 'the name of the set that is in',
    why: 'Results of one set are told from those of another.',
    form: 'text',
    typical: both('set A'),
    group: 'set',
    passed: 'nothing is noted',
  },
  {
    key: 'set.edge',
    option: 'set-edge',
    title: 'Edge',
    what: 'which edge of double-edged knives is in use',
    why: 'Turned over, a knife is another knife.',
    form: 'text',
    typical: both('first'),
    group: 'set',
    passed: 'nothing is noted',
  },
  {
    key: 'set.fitted',
    option: 'set-fitted',
    title: 'Fitted',
    what: 'the day on which the knives were put in',
    why: 'Wear is counted from it.',
    form: 'day',
    typical: both('2026-11-20'),
    group: 'set',
    passed: 'nothing is noted',
  },
  {
    key: 'set.note',
    option: 'set-note',
    title: 'Note',
    what: 'anything else about these knives',
    why: 'It is carried into every result as it stands.',
    form: 'text',
    typical: both('after grinding'),
    group: 'set',
    passed: 'nothing is noted',
  },
];

/** A key as the path of its tables and itself. */
export function pathOf(key: string): readonly string[] {
  return key.split('.');
}

export function questionOf(key: string): Question {
  return QUESTIONS.find((question) => question.key === key)!;
}
