import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { initialSd } from '../../src/fit/problem.js';
import type { Machine } from '../../src/machine/machine.js';
import { spanOf } from '../../src/model/coordinates.js';
import { countedPlaces, foretell } from '../../src/pipeline/foretell.js';
import { noiseOf } from '../../src/pipeline/noises.js';
import { handStrips, type Station, stripShape } from '../../src/plan/boards.js';
import { minutesOf } from '../../src/plan/minutes.js';
import { fewestMinutes, type Question } from '../../src/plan/search.js';
import { judgeStrips, type StripsAsked } from '../../src/plan/strips-alone.js';
import { benchMachine } from '../machines.js';
import { numbered } from './jobs.js';

interface Drawn {
  readonly knives: number;
  readonly lock: number | null;
  readonly readingSd: number | null;
  readonly stations: readonly Station[];
}

/** The bench machine with other knives, lock and instrument. */
function machineOf({ knives, lock, readingSd }: Omit<Drawn, 'stations'>): Machine {
  const bench = benchMachine();
  return {
    ...bench,
    block: { ...bench.block, knives: numbered(knives) },
    bed: { ...bench.bed, repeatability: lock },
    instrument: { ...bench.instrument, readingSd },
  };
}

function askedOf(machine: Machine, endU = 0.0125, tiltU = 0.025): StripsAsked {
  const noise = noiseOf(machine.instrument);
  return {
    span: spanOf(machine),
    knives: machine.block.knives.length,
    sd: initialSd(noise),
    sdFreedom: noise.kind === 'known' ? Infinity : noise.guessDegreesOfFreedom,
    lock: machine.bed.repeatability,
    endU,
    tiltU,
  };
}

const stationsDrawn = (least: number) =>
  fc
    .uniqueArray(fc.integer({ min: 0, max: 24 }), { minLength: least, maxLength: 8 })
    .chain((at) =>
      fc
        .array(fc.integer({ min: 1, max: 5 }), { minLength: at.length, maxLength: at.length })
        .map((rounds) =>
          at
            .toSorted((a, b) => a - b)
            .map((place, i): Station => ({ x: 20 + 20 * place, rounds: rounds[i]! })),
        ),
    );

const drawn = (least = 2): fc.Arbitrary<Drawn> =>
  fc.record({
    knives: fc.integer({ min: 2, max: 7 }),
    lock: fc.constantFrom(0.001, 0.005, 0.03, 0.2, null),
    readingSd: fc.constantFrom(null, 0.003, 0.02),
    stations: stationsDrawn(least),
  });

/** With seven knives a strip has room for four rounds. */
const onOneStrip = ({ x, rounds }: Station): Station => ({ x, rounds: Math.min(4, rounds) });

describe('strips judged by two small fits', () => {
  it('come out as by the whole model, U and degrees of freedom', () => {
    fc.assert(
      fc.property(drawn(), (all) => {
        const each = { ...all, stations: all.stations.map(onOneStrip) };
        const machine = machineOf(each);
        const strips = handStrips(each.stations, stripShape(machine, machine.block.knives));
        const whole = foretell(machine, countedPlaces(strips));
        const ends = whole.standing.offsets.flat().map((end) => end!.U / 0.0125);
        // A tilt that nothing ties together is asked of nobody.
        const tilt = each.lock === null ? [] : [whole.standing.tilt!.U / 0.025];
        const judged = judgeStrips(askedOf(machine), each.stations);
        const widest = Math.max(...ends, ...tilt);
        expect(Math.abs(judged.worst / widest - 1)).toBeLessThan(1e-9);
        if (each.readingSd === null) expect(judged.freedom).toBeCloseTo(whole.freedom, 8);
        else expect(judged.freedom).toBe(Infinity);
        if (each.lock === null) expect(whole.standing.tilt).toBeNull();
      }),
      { numRuns: 120 },
    );
  });

  it('are not told to be surer than they are where a place takes several strips', () => {
    fc.assert(
      fc.property(stationsDrawn(3), fc.constantFrom(0.001, 0.005, 0.03), (stations, lock) => {
        const machine = machineOf({ knives: 7, lock, readingSd: 0.01 });
        const many = stations.map(({ x, rounds }) => ({ x, rounds: rounds + 4 }));
        const strips = handStrips(many, stripShape(machine, machine.block.knives));
        expect(strips.length).toBeGreaterThan(many.length);
        const { offsets, tilt } = foretell(machine, countedPlaces(strips)).standing;
        const widest = Math.max(...offsets.flat().map((end) => end!.U / 0.0125), tilt!.U / 0.025);
        const { worst } = judgeStrips(askedOf(machine), many);
        expect(worst).toBeGreaterThanOrEqual(widest * (1 - 1e-9));
      }),
      { numRuns: 30 },
    );
  });

  it('at one place leave ends open, and say so by an infinite U', () => {
    const machine = machineOf({ knives: 3, lock: 0.005, readingSd: null });
    const judged = judgeStrips(askedOf(machine), [{ x: 260, rounds: 4 }]);
    expect(judged.worst).toBe(Infinity);
  });

  it('never tell less by one round more', () => {
    fc.assert(
      fc.property(drawn(2), fc.nat(), (each, which) => {
        const i = which % each.stations.length;
        const asked = askedOf(machineOf(each));
        const { x, rounds } = each.stations[i]!;
        const more = each.stations.with(i, { x, rounds: rounds + 1 });
        const [few, many] = [each.stations, more].map((stations) => judgeStrips(asked, stations));
        expect(many!.worst).toBeLessThanOrEqual(few!.worst * (1 + 1e-9));
        expect(many!.freedom).toBeGreaterThanOrEqual(few!.freedom);
      }),
    );
  });

  it('never tell less with a better instrument, or with a better lock', () => {
    fc.assert(
      fc.property(drawn(2), fc.double({ min: 0.1, max: 0.95, noNaN: true }), (each, share) => {
        const known = { ...each, readingSd: each.readingSd ?? 0.01, lock: each.lock ?? 0.01 };
        const worst = (better: Partial<Drawn>) =>
          judgeStrips(askedOf(machineOf({ ...known, ...better })), each.stations).worst;
        expect(worst({ readingSd: known.readingSd * share })).toBeLessThanOrEqual(worst({}));
        expect(worst({ lock: known.lock * share })).toBeLessThanOrEqual(worst({}) * (1 + 1e-12));
      }),
    );
  });

  it('tell the same from the other end of the block', () => {
    fc.assert(
      fc.property(drawn(2), (each) => {
        const asked = askedOf(machineOf(each));
        const mirrored = each.stations
          .map(({ x, rounds }) => ({ x: 520 - x, rounds }))
          .toReversed();
        const [one, other] = [each.stations, mirrored].map((stations) =>
          judgeStrips(asked, stations),
        );
        expect(other!.worst).toBeCloseTo(one!.worst, 9);
      }),
    );
  });
});

/** A small question: few places, four or five stations, one to four rounds. */
interface Small {
  readonly machine: Machine;
  readonly places: readonly number[];
  readonly endU: number;
  readonly tiltU: number;
  readonly freedom: number;
}

const FEWEST_ROUNDS = 1;
const MOST_ROUNDS = 3;

function questionOf({ machine, places, endU, tiltU, freedom }: Small): Question {
  const asked = askedOf(machine, endU, tiltU);
  const shape = stripShape(machine, machine.block.knives);
  return {
    places,
    fewestStations: 4,
    mostStations: 5,
    fewestRounds: FEWEST_ROUNDS,
    mostRounds: MOST_ROUNDS,
    freedom,
    minutes: (stations) => minutesOf(handStrips(stations, shape)),
    judge: (stations) => judgeStrips(asked, stations),
    reaches: (stations) => judgeStrips(asked, stations).worst <= 1,
  };
}

/** Every choice of so many items, in order. */
function choices<Item>(items: readonly Item[], count: number): Item[][] {
  if (count === 0) return [[]];
  return items.flatMap((item, i) =>
    choices(items.slice(i + 1), count - 1).map((rest) => [item, ...rest]),
  );
}

function shares(count: number): number[][] {
  if (count === 0) return [[]];
  const rounds = Array.from(
    { length: MOST_ROUNDS - FEWEST_ROUNDS + 1 },
    (_, i) => FEWEST_ROUNDS + i,
  );
  return shares(count - 1).flatMap((before) => rounds.map((each) => [...before, each]));
}

/** All stations and rounds, neighbours no nearer than four fifths of an even spread. */
function everything({ places, fewestStations, mostStations }: Question): Station[][] {
  const reach = places.at(-1)! - places[0]!;
  const out: Station[][] = [];
  for (let count = fewestStations; count <= mostStations; count++) {
    const apart = (xs: readonly number[]) =>
      xs.every((x, i) => i === 0 || x - xs[i - 1]! >= (0.8 * reach) / (count - 1) - 1e-9);
    const rounds = shares(count);
    for (const xs of choices(places, count).filter(apart)) {
      out.push(...rounds.map((each) => xs.map((x, i) => ({ x, rounds: each[i]! }))));
    }
  }
  return out;
}

const small = fc
  .record({
    knives: fc.integer({ min: 2, max: 4 }),
    lock: fc.constantFrom(0.002, 0.005, 0.01),
    readingSd: fc.constantFrom(null, 0.01),
    first: fc.integer({ min: 10, max: 60 }),
    step: fc.integer({ min: 35, max: 55 }),
    endU: fc.double({ min: 0.012, max: 0.03, noNaN: true }),
    tiltU: fc.double({ min: 0.02, max: 0.05, noNaN: true }),
    freedom: fc.integer({ min: 0, max: 20 }),
  })
  .map(({ knives, lock, readingSd, first, step, ...rest }): Small => {
    const places = Array.from({ length: 9 }, (_, i) => first + i * step);
    return { machine: machineOf({ knives, lock, readingSd }), places, ...rest };
  });

/** Exchange of places meets the least U of the same rounds, or nearly so. */
const OF_THOSE_ROUNDS = 1.01;
/** Equal rounds are kept where they do, though unequal ones would tell ends somewhat better. */
const OF_ALL = 1.3;

const roundsOf = (stations: readonly Station[]) => stations.map(({ rounds }) => rounds).join();

describe('against every choice of places and rounds', () => {
  it('takes no more minutes, and comes near the least U that so many minutes tell', () => {
    let reached = 0;
    fc.assert(
      fc.property(small, (each) => {
        const question = questionOf(each);
        const all = everything(question).map((stations) => ({
          stations,
          minutes: question.minutes(stations),
          judged: question.judge(stations),
        }));
        // A noise that no choice makes known is not asked for.
        const some = all.filter(({ judged }) => judged.freedom >= each.freedom);
        const known = some.length > 0 ? some : all;
        const enough = known.filter(({ judged }) => judged.worst <= 1);
        const found = fewestMinutes(question);
        const judged = question.judge(found.stations);
        expect(found.reaches).toBe(enough.length > 0);
        if (enough.length > 0) {
          reached++;
          const least = Math.min(...enough.map(({ minutes }) => minutes));
          expect(question.minutes(found.stations)).toBeLessThanOrEqual(least + 1e-9);
          const equals = enough.filter(({ minutes }) => minutes <= least + 1e-9);
          const narrowest = (those: typeof equals) =>
            Math.min(...those.map((one) => one.judged.worst));
          expect(judged.worst).toBeLessThanOrEqual(narrowest(equals) * OF_ALL);
          const alike = equals.filter((one) => roundsOf(one.stations) === roundsOf(found.stations));
          expect(judged.worst).toBeLessThanOrEqual(narrowest(alike) * OF_THOSE_ROUNDS);
        } else {
          // Then the fewest readings that make the noise known have to do.
          const fewest = Math.min(...known.map(({ minutes }) => minutes));
          expect(question.minutes(found.stations)).toBeLessThanOrEqual(fewest + 1e-9);
        }
      }),
      { numRuns: 60 },
    );
    expect(reached).toBeGreaterThan(5);
  }, 60_000);
});

describe('what is never given', () => {
  const machine = machineOf({ knives: 4, lock: 0.005, readingSd: null });
  const places = Array.from({ length: 9 }, (_, i) => 20 + i * 60);
  const question = questionOf({ machine, places, endU: 0.01, tiltU: 0.02, freedom: 20 });

  it('two stations at one place, rounds beyond what may be, or places that are none', () => {
    for (const fewestStations of [1, 2, 4, 7, 9]) {
      const { stations } = fewestMinutes({ ...question, fewestStations, mostStations: 9 });
      expect(stations.length).toBeGreaterThanOrEqual(fewestStations);
      stations.forEach(({ x, rounds }, i) => {
        expect(places).toContain(x);
        expect(rounds).toBeGreaterThanOrEqual(FEWEST_ROUNDS);
        expect(rounds).toBeLessThanOrEqual(MOST_ROUNDS);
        if (i > 0) expect(x).toBeGreaterThan(stations[i - 1]!.x);
      });
    }
  });

  it('more stations than there are places', () => {
    const none = fewestMinutes({ ...question, fewestStations: 10, mostStations: 12 });
    expect(none).toEqual({ stations: [], reaches: false });
  });

  it('exactly so many as are fixed', () => {
    const fixed = { fewestStations: 6, mostStations: 6, fewestRounds: 3, mostRounds: 3 };
    const { stations } = fewestMinutes({ ...question, ...fixed });
    expect(stations.map(({ rounds }) => rounds)).toEqual([3, 3, 3, 3, 3, 3]);
  });
});
