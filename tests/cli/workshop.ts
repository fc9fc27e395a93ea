/** Boards of the workshop's simulator put before the program: as its library, or as a whole command. */
import { type Analysed, analyse } from '../../src/pipeline/analyse.js';
import type { Result } from '../../src/record/result.js';
import type { Place } from '../workshop/designs.js';
import type { Random } from '../workshop/random.js';
import type { Shop } from '../workshop/shop.js';
import { measure } from '../workshop/simulate.js';
import { machineText } from '../workshop/texts.js';

/** A place with what else is written beside it; `cut` and `setting` become columns. */
export interface MarkedPlace extends Place {
  readonly cut?: string;
  readonly setting?: string;
}

/** Cuts and measures places, and writes them down with their cut and setting. */
export function csvOf(shop: Shop, places: readonly MarkedPlace[], random: Random): string {
  const { rows } = measure(shop, places, random, { caliper: { misreadRate: 0 } });
  const lines = rows.map((row, i) => {
    const { cut = '', setting = '' } = places[i]!;
    return [row.board, row.knife, row.x, row.y, row.thickness, cut, setting].join(',');
  });
  return `${['board,knife,x,y,thickness,cut,setting', ...lines].join('\n')}\n`;
}

/** A machine file in which some lines stand otherwise. */
export function machineWith(shop: Shop, changes: Readonly<Record<string, string>> = {}): string {
  return Object.entries(changes).reduce((text, [key, value]) => {
    const line = new RegExp(`^${key} = .*$`, 'm');
    if (!line.test(text)) throw new Error(`the machine file has no line ${key}`);
    return text.replace(line, `${key} = ${value}`);
  }, machineText(shop));
}

/** What the library makes of two texts; fails where there is no result. */
export async function resultOf(machine: string, csv: string): Promise<Result> {
  const content = (text: string) => new TextEncoder().encode(text);
  const { result, notices }: Analysed = await analyse(
    { name: 'machine.toml', content: content(machine) },
    [{ name: 'boards.csv', content: content(csv) }],
    { date: new Date(0) },
  );
  if (!result) throw new Error(notices.map(({ message }) => message).join('\n'));
  return result;
}

/** Every offset and the tilt, by knife and end. */
export function heightsOf(result: Result): Record<string, number | null> {
  const ends = result.knives.flatMap(({ id, ends }) =>
    ends.map(({ name, offset }) => [`${id} ${name}`, offset] as const),
  );
  return Object.fromEntries([...ends, ['bed', result.bed.tilt] as const]);
}

export function codesOf(result: Result): string[] {
  return result.notices.map(({ code }) => code);
}
