import type { Machine } from '../../machine/machine.js';
import type { Move, Result } from '../../record/result.js';
import { formatDegrees, formatTurns } from '../../units/turns.js';
import type { Paint } from '../paint.js';
import { type Figures, percent } from './figures.js';
import { section, sentence, wrap } from './layout.js';

/** What to turn or shim, in words that a person with a hex key in hand can follow. */
export function moves(result: Result, machine: Machine, figures: Figures, paint: Paint): string[] {
  if (result.moves.length === 0) {
    return section(paint.strong('What to turn'), wrap(whyNothing(result), '  '));
  }
  const { adjusters } = machine;
  const what = adjusters.kind === 'screw' ? 'What to turn' : 'What to shim';
  const lines = [
    ...wrap(
      'Machine isolated and locked off. Knife by knife: slacken the wedge screws of that knife ' +
        'only as far as it takes to move it, make its moves, press the knife home, tighten in the ' +
        "manual's order (commonly from the middle outwards).",
      '  ',
    ),
    ...result.moves.flatMap((move, index) =>
      wrap(step(move, machine, figures), `  [ ] ${index + 1}. `),
    ),
    ...approachLines(machine),
    ...wrap('Recheck every screw; turn the block by hand through a full turn before power.', '  '),
    ...wrap(
      'The mean of the knives moves with them: where an end will stand is not its offset and its lift added up.',
      '  ',
    ),
  ];
  return [
    ...section(paint.strong(`${what} (to the ${targetName(result)})`), lines),
    ...expected(result, machine, figures, paint),
  ];
}

function whyNothing(result: Result): string {
  const notice = (code: string) => result.notices.find((each) => each.code === code);
  if (notice('moved-the-other-way')) {
    return 'Nothing: a move went the other way than asked. Find out why before another screw is turned.';
  }
  if (notice('boards-disagree')) {
    return 'Nothing yet: the boards and their description disagree. Sort that out first.';
  }
  if (notice('instruments-disagree')) {
    return 'Nothing yet: instruments contradict each other. Find out which is wrong first.';
  }
  if (result.knives.some(({ ends }) => ends.some(({ offset }) => offset === null))) {
    return result.board.verdict === 'inside' && result.fitted.every(({ cut }) => cut === 'full')
      ? 'Nothing. Boards are parallel: stop here, unless the finish has gone.'
      : 'Nothing yet: turning a screw on a guess spoils what may be right. See below which board to cut next.';
  }
  const why = [
    'no-moves-allowed',
    'bed-not-known',
    'heights-too-uncertain',
    'tolerance-not-reached',
  ]
    .map(notice)
    .find((each) => each !== undefined);
  if (why) return `Nothing: ${why.message}. ${sentence(why.hint ?? '')}.`;
  if (result.verdicts.bed === 'outside') {
    return 'No knife: all ends are inside. The bed is what is wrong; see below.';
  }
  return 'Nothing: every knife end is inside, and a block that was set right is best left alone.';
}

function targetName({ target }: Result): string {
  const lines: Record<string, string> = {
    mean: 'mean of the knives',
    bed: 'bed',
    highest: 'highest knife',
    lowest: 'lowest knife',
  };
  return lines[target.name] ?? `line of knife ${target.name}`;
}

function step(move: Move, { adjusters }: Machine, figures: Figures): string {
  const place = `Knife ${move.knife}, ${move.end ?? 'between the ends'} (x ${figures.position(move.x)})`;
  const way = move.lift > 0 ? 'raise' : 'lower';
  const after =
    move.residualAfter === null
      ? ''
      : ` It should then stand ${figures.height(move.residualAfter)} from the mean.`;
  if (adjusters.kind === 'shim' || move.turns === undefined) {
    const pieces = (move.shims ?? []).map((piece) => figures.size(piece)).join(' + ');
    return `${place}: put in ${pieces} of shim, raising it by ${figures.size(move.lift)}.${after}`;
  }
  return (
    `${place}: ${way} it by ${formatTurns(move.turns, adjusters.finestTurn)} ` +
    `(${formatDegrees(move.turns)}) ${move.direction}, seen looking at the screw's driven end: ` +
    `${figures.size(Math.abs(move.lift))}.${after}`
  );
}

/** How the last movement takes up the slack. */
function approachLines({ adjusters }: Machine): string[] {
  if (adjusters.kind === 'shim') return [];
  const { approach, raisedBy } = adjusters;
  if (approach === null) {
    return wrap('Take up the slack as the manual says, the knife pressed home.', '  ');
  }
  const lowering = raisedBy === 'clockwise' ? 'anticlockwise' : 'clockwise';
  const last = approach === 'raise' ? raisedBy : lowering;
  const against = approach === 'raise' ? 'lowers' : 'raises';
  return wrap(
    `The last movement of every screw is ${last} (to ${approach}): where a move ${against}, ` +
      'go a little past it and come back, so that the slack is taken up.',
    '  ',
  );
}

function expected(result: Result, machine: Machine, figures: Figures, paint: Paint): string[] {
  const { worstEnd, bedTilt, probabilityInside } = result.expected;
  if (worstEnd === null || probabilityInside === null) return [];
  const tilt = bedTilt === null ? '' : `; bed tilt ${figures.height(bedTilt)}`;
  const scope = result.target.name === 'bed' ? 'All knives and the bed' : 'All knives';
  const lines = wrap(
    `${scope} are then inside with ${percent(probabilityInside)} probability, ${machine.adjusters.kind === 'screw' ? 'hand and thread' : 'seating'} ` +
      `allowed for. The worst end should stand ${figures.size(worstEnd)} from the mean${tilt}. ` +
      'Cut test boards again and run confirm.',
    '  ',
  );
  if (machine.outfeedPresent) lines.push(...outfeedLines(machine));
  return section(paint.strong('What to expect'), lines);
}

function outfeedLines(machine: Machine): string[] {
  const [front, back] = machine.adjusters.names;
  return wrap(
    `The cutting circle moves with the knives: check the outfeed table against it at the ${front} ` +
      `and at the ${back} before use. Where boards are tapered, levelling the bed may be the better ` +
      'cure: it leaves knives and outfeed table as they are.',
    '  ',
  );
}
