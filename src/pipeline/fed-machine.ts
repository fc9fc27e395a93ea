import type { Block, Machine } from '../machine/machine.js';
import { type Feed, feedAt } from '../model/feed.js';
import type { Notice } from '../notices/notice.js';

/** A machine of which it is known how fast the block turns and how fast a board is fed. */
export interface FedMachine extends Machine {
  readonly block: Block & { readonly speed: number };
  /** mm/min */
  readonly feedSpeed: number;
  /** The machine file's own feed speed where another one stands in its place, or null. */
  readonly ownFeedSpeed: number | null;
}

/** A fed machine, or an error that says which keys are missing. */
export function fedMachine(
  machine: Machine,
  file: string,
  feedSpeed: number | undefined,
): { readonly fed: FedMachine | null; readonly notices: readonly Notice[] } {
  const { speed } = machine.block;
  const fed = feedSpeed ?? machine.feedSpeed;
  if (speed === null || fed === null) {
    return { fed: null, notices: [notFed(file, speed === null, fed === null)] };
  }
  const block = { ...machine.block, speed };
  const own = machine.feedSpeed;
  return { fed: { ...machine, block, feedSpeed: fed, ownFeedSpeed: own }, notices: [] };
}

function notFed(file: string, lacksSpeed: boolean, lacksFeed: boolean): Notice {
  const keys = [
    ...(lacksFeed ? ['speed = "9 m/min" under [feed]'] : []),
    ...(lacksSpeed ? ['speed = "4500 rpm" under [block]'] : []),
  ];
  const option = lacksFeed ? '; --feed SPEED stands in for the feed' : '';
  return {
    code: 'no-feed',
    severity: 'error',
    message: 'how far a board moves from knife to knife is not known',
    file,
    found: `no ${[...(lacksFeed ? ['feed speed'] : []), ...(lacksSpeed ? ['block speed'] : [])].join(' and no ')}`,
    expected: keys.join(' and '),
    hint: `add ${keys.join(' and ')}, with this machine's own figures${option}`,
  };
}

/** How boards move under the knives of a machine at a feed speed in mm/min. */
export function feedAtSpeed(machine: FedMachine, feedSpeed: number): Feed {
  return feedAt(machine, feedSpeed / machine.block.speed);
}
