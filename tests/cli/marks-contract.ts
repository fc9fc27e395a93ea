/**
 * What every report of knife marks has to be, foretold or measured: which keys, of which types, what
 * is null together, and what must agree with what. Written from what users of the JSON were promised.
 */
import * as v from 'valibot';
import { noticeShape } from './contract.js';

const number = v.pipe(v.number(), v.finite());
const above = v.pipe(number, v.minValue(Number.MIN_VALUE));
const count = v.pipe(number, v.integer(), v.minValue(1));
const text = v.pipe(v.string(), v.minLength(1));
const positive = v.nullable(v.pipe(number, v.minValue(0)));

const knife = v.strictObject({
  id: text,
  shows: v.nullable(v.boolean()),
  offset: v.nullable(number),
  u: positive,
  U: positive,
  atMost: v.nullable(number),
});

const station = v.strictObject({
  x: v.nullable(number),
  pitch: above,
  perRevolution: above,
  marksPerInch: v.nullable(above),
  ridgeHeight: v.nullable(above),
  finishing: v.array(text),
  marks: v.nullable(count),
  hiddenBelow: v.nullable(above),
  oneKnifeBelow: v.nullable(above),
  ambiguous: v.boolean(),
  knives: v.pipe(v.array(knife), v.minLength(1)),
  inOrder: v.array(
    v.strictObject({
      id: v.nullable(text),
      width: above,
      offset: v.nullable(number),
      u: positive,
    }),
  ),
});

const setAside = v.strictObject({
  file: text,
  line: count,
  board: text,
  x: number,
  y: number,
  reason: v.picklist(['misread', 'doubled']),
});

const reading = v.strictObject({
  ridges: count,
  used: count,
  sd: above,
  sdFreedom: v.pipe(number, v.minValue(0)),
  setAside: v.array(setAside),
});

const shape = v.strictObject({
  schema: v.literal('proofboard/marks@1'),
  stations: v.pipe(v.array(station), v.minLength(1)),
  feeds: v.array(
    v.strictObject({
      feed: above,
      pitch: above,
      marksPerInch: above,
      ridgeHeight: above,
      finishing: v.pipe(v.array(text), v.minLength(1)),
      fewest: count,
      isOwn: v.boolean(),
    }),
  ),
  wanted: v.array(
    v.strictObject({
      wish: v.picklist(['pitch', 'ridge-height', 'all-show']),
      value: v.nullable(above),
      feed: v.nullable(above),
      pitch: v.nullable(above),
      ridgeHeight: v.nullable(above),
    }),
  ),
  reading: v.nullable(reading),
  notices: v.array(noticeShape),
});

export type Marks = v.InferOutput<typeof shape>;
type Station = Marks['stations'][0];

/** Everything that is wrong with a report of marks, in words; none for one as it should be. */
export function marksFaults(json: unknown): string[] {
  const parsed = v.safeParse(shape, json);
  if (!parsed.success) {
    return parsed.issues.map((issue) => `${v.getDotPath(issue)}: ${issue.message}`);
  }
  const report = parsed.output;
  return [
    ...report.stations.flatMap((each) =>
      [
        ...stationFaults(each),
        ...knifeFaults(each),
        ...orderFaults(each, report.reading === null ? 0 : FEEDS_APART),
      ].map((fault) => `station ${each.x}: ${fault}`),
    ),
    ...togetherFaults(report),
    ...feedFaults(report),
    ...wishFaults(report),
    ...noticeFaults(report),
  ];
}

/** A fault's words where something does not hold. */
function unless(holds: boolean, words: string): string[] {
  return holds ? [] : [words];
}

const near = (a: number, b: number) => Math.abs(a - b) <= 1e-9 * Math.max(1e-3, Math.abs(a));
const sum = (values: readonly number[]) => values.reduce((total, value) => total + value, 0);

function stationFaults(each: Station): string[] {
  const { knives, pitch, perRevolution, marks, marksPerInch, hiddenBelow, oneKnifeBelow } = each;
  const isSingle = knives.length === 1;
  return [
    ...unless(near(perRevolution, knives.length * pitch), 'a revolution is not a pitch a knife'),
    ...unless((marks === null) === (marksPerInch === null), 'marks are counted and are not'),
    ...unless(
      marks === null || near(marksPerInch!, (25.4 * marks) / perRevolution),
      'marks an inch do not count those that show',
    ),
    ...unless(marks === null || marks <= knives.length, 'more marks than knives'),
    ...unless((hiddenBelow === null) === isSingle, 'hiddenBelow is of several knives'),
    ...unless((oneKnifeBelow === null) === isSingle, 'oneKnifeBelow is of several knives'),
    ...unless(isSingle || hiddenBelow! <= oneKnifeBelow! * (1 + 1e-9), 'bounds the wrong way'),
    ...unless(
      new Set(knives.map(({ id }) => id)).size === knives.length,
      'a knife stands there twice',
    ),
  ];
}

function knifeFaults({ knives, finishing, marks, ambiguous, ridgeHeight }: Station): string[] {
  const showing = knives.filter(({ shows }) => shows);
  const isKnown = knives.every(({ shows }) => shows !== null);
  const offsets = showing.map(({ offset }) => offset);
  const isTold = offsets.every((offset) => offset !== null);
  const highest = Math.max(...offsets.map((offset) => offset ?? 0));
  return [
    ...knives.flatMap(({ id, shows, offset, u, U, atMost }) => [
      ...unless(offset === null || shows === true, `knife ${id}: a height without a mark`),
      ...unless(atMost === null || shows === false, `knife ${id}: a bound beside a mark`),
      ...unless((u === null) === (U === null), `knife ${id}: u and U are not null together`),
      ...unless(u === null || offset !== null, `knife ${id}: u of no height`),
      ...unless(u === null || (u > 0 && U! > u), `knife ${id}: U is not above u, or u not above 0`),
    ]),
    ...unless(!isKnown || ambiguous || isTold, 'a knife shows, is named and has no height'),
    ...unless(!isTold || near(sum(offsets as number[]), 0), 'heights are not from their own mean'),
    ...unless(
      !isKnown ||
        knives.every(({ atMost, shows }) => shows || atMost === null || atMost < highest + 0.05),
      'a hidden knife may stand far above those that show',
    ),
    ...unless(!ambiguous || knives.every(({ offset }) => offset === null), 'named, yet ambiguous'),
    ...unless(
      finishing.length === 0
        ? ambiguous || !isKnown
        : finishing.toSorted().join('\n') ===
            showing
              .map(({ id }) => id)
              .toSorted()
              .join('\n'),
      'finishing are not the knives that show',
    ),
    ...unless(
      finishing.length === 0 || finishing.length === marks,
      'marks are not those finishing',
    ),
    ...unless(!isKnown || ambiguous || ridgeHeight !== null, 'known knives without a ridge'),
  ];
}

/** Marks are shown as one board has them, the feed a revolution is the mean of all boards there. */
const FEEDS_APART = 0.02;

function orderFaults(
  { inOrder, marks, perRevolution, finishing, knives, ambiguous }: Station,
  feedsApart: number,
) {
  const ids = inOrder.map(({ id }) => id);
  const turn = sum(inOrder.map(({ width }) => width));
  return [
    ...unless(marks === null || inOrder.length === marks, 'not every mark is in order'),
    ...unless(
      inOrder.length === 0 ||
        near(turn, perRevolution) ||
        Math.abs(turn / perRevolution - 1) < feedsApart,
      'the marks are not a revolution',
    ),
    ...unless(
      ambiguous ||
        ids.some((_, by) => turned(ids, by) === turned(finishing, 0)) ||
        ids.length === 0,
      'another order than finishing',
    ),
    ...unless(!ambiguous || ids.every((id) => id === null), 'marks with names, yet ambiguous'),
    ...inOrder.flatMap(({ id, offset, u }) => {
      const named = knives.find((each) => each.id === id);
      return unless(
        id === null || (named?.offset === offset && named.u === u),
        `mark of knife ${id}: not as the knife stands`,
      );
    }),
  ];
}

/** The same round, begun elsewhere. */
function turned(ids: readonly (string | null)[], by: number): string {
  return [...ids.slice(by), ...ids.slice(0, by)].join('\n');
}

function togetherFaults({ stations, reading: read }: Marks): string[] {
  const ids = (each: Station) => each.knives.map(({ id }) => id).join('\n');
  const xs = stations.map(({ x }) => x);
  return [
    ...unless(
      stations.every((each) => ids(each) === ids(stations[0]!)),
      'stations of other knives',
    ),
    ...unless(xs.length === 1 || xs.every((x) => x !== null), 'a station without a place'),
    ...unless(new Set(xs).size === xs.length, 'a place stands there twice'),
    ...unless(
      read === null || read.ridges === read.used + read.setAside.length,
      'ridges are not those used and set aside',
    ),
  ];
}

/** More feed makes ridges higher and hides nothing. */
function feedFaults({ feeds, stations }: Marks): string[] {
  const ids = stations[0]!.knives.map(({ id }) => id);
  return [
    ...unless(feeds.length >= 5, 'few feeds'),
    ...unless(feeds.filter(({ isOwn }) => isOwn).length <= 1, 'several own feeds'),
    ...feeds.flatMap(({ feed, pitch, fewest, finishing, marksPerInch }) => [
      ...unless(near(pitch / feed, feeds[0]!.pitch / feeds[0]!.feed), `${feed}: pitch`),
      ...unless(near(marksPerInch, (25.4 * fewest) / (pitch * ids.length)), `${feed}: marks`),
      ...unless(fewest <= finishing.length, `${feed}: fewer knives than marks`),
      ...unless(
        finishing.join('\n') === ids.filter((id) => finishing.includes(id)).join('\n'),
        `${feed}: strangers finish`,
      ),
    ]),
    ...feeds.slice(1).flatMap((more, before) => {
      const less = feeds[before]!;
      return [
        ...unless(more.feed > less.feed, `${more.feed}: out of order`),
        ...unless(more.ridgeHeight > less.ridgeHeight, `${more.feed}: lower ridges at more feed`),
        ...unless(more.fewest >= less.fewest, `${more.feed}: fewer marks at more feed`),
        ...unless(
          less.finishing.every((id) => more.finishing.includes(id)),
          `${more.feed}: a knife vanishes at more feed`,
        ),
      ];
    }),
  ];
}

function wishFaults({ wanted, feeds, notices }: Marks): string[] {
  return wanted.flatMap(({ wish, value, feed, pitch, ridgeHeight }) => [
    ...unless((value === null) === (wish === 'all-show'), `${wish}: its value`),
    ...unless((feed === null) === (pitch === null), `${wish}: feed and pitch not null together`),
    ...unless(
      (feed === null) === (ridgeHeight === null),
      `${wish}: feed and ridge not null together`,
    ),
    ...unless(feed !== null || notices.length > 0, `${wish}: no feed, without a word`),
    ...unless(
      feed === null || near(pitch! / feed, feeds[0]!.pitch / feeds[0]!.feed),
      `${wish}: its pitch is of another feed`,
    ),
    ...unless(wish !== 'pitch' || feed === null || near(pitch!, value!), 'another pitch'),
    ...unless(
      wish !== 'ridge-height' || feed === null || near(ridgeHeight!, value!),
      'another ridge height',
    ),
  ]);
}

/** What is not known has to be said. */
function noticeFaults({ notices, stations }: Marks): string[] {
  const isOpen = stations.some(
    ({ ambiguous, knives }) => ambiguous || knives.some(({ shows }) => shows === null),
  );
  return [
    ...unless(
      !isOpen || notices.some(({ severity }) => severity === 'warning'),
      'something is not known, without a warning',
    ),
    ...unless(
      notices.every(({ severity }) => severity !== 'error'),
      'a report with an error',
    ),
  ];
}
