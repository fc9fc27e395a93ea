/**
 * What every result has to be, whatever the boards: which keys, of which types, what is null
 * together, and what must agree with what. Written from what users of the JSON were promised.
 */
import * as v from 'valibot';

const LEAST_TURN = 1e-9;

const number = v.pipe(v.number(), v.finite());
const length = v.nullable(number);
const uncertainty = v.nullable(v.pipe(number, v.minValue(0)));
const probability = v.nullable(v.pipe(number, v.minValue(0), v.maxValue(1)));
const count = v.pipe(number, v.integer(), v.minValue(0));
const verdict = v.picklist(['inside', 'outside', 'undecided']);
const text = v.pipe(v.string(), v.minLength(1));

const place = {
  file: text,
  line: v.pipe(count, v.minValue(1)),
  board: text,
  knife: text,
  x: number,
  y: number,
  thickness: v.pipe(number, v.minValue(3), v.maxValue(500)),
};

export const noticeShape = v.looseObject({
  code: v.pipe(v.string(), v.regex(/^[a-z]+(-[a-z]+)*$/)),
  severity: v.picklist(['error', 'warning', 'info']),
  message: text,
  file: v.optional(text),
  line: v.optional(v.pipe(count, v.minValue(1))),
  column: v.optional(v.pipe(count, v.minValue(1))),
  hint: v.optional(text),
});

const quantity = { u: uncertainty, U: uncertainty };
const measured = v.strictObject({ value: length, ...quantity });

const instrumentKinds = ['gauge', 'carry', 'marks'] as const;
const instrument = v.strictObject({
  kind: v.picklist(instrumentKinds),
  total: v.pipe(count, v.minValue(1)),
  used: count,
  sd: uncertainty,
  sdFreedom: uncertainty,
  agrees: v.nullable(v.boolean()),
  pValue: probability,
  setAside: v.array(
    v.strictObject({
      file: text,
      line: v.pipe(count, v.minValue(1)),
      x: number,
      knife: v.nullable(text),
      value: number,
      residual: length,
      reason: text,
    }),
  ),
});

const resultShape = v.looseObject({
  schema: v.literal('proofboard/result@1'),
  date: v.pipe(v.string(), v.isoTimestamp()),
  measuredBy: v.nullable(text),
  set: v.nullable(v.looseObject({})),
  machine: v.looseObject({ name: text, knives: v.array(text) }),
  tolerance: v.looseObject({ knife: number, bed: number }),
  instrument: v.looseObject({ resolution: number, maxError: number }),
  files: v.array(
    v.looseObject({ name: text, sha256: v.pipe(v.string(), v.regex(/^[0-9a-f]{64}$/)) }),
  ),
  readings: v.looseObject({
    total: count,
    used: count,
    setAside: v.array(v.looseObject({ ...place, residual: length, reason: text })),
  }),
  fitted: v.array(
    v.looseObject({
      ...place,
      cut: v.picklist(['hand', 'proud', 'full']),
      predicted: number,
      residual: number,
    }),
  ),
  instruments: v.array(instrument),
  fit: v.looseObject({
    rank: count,
    parameters: count,
    degreesOfFreedom: count,
    residualSd: uncertainty,
    undetermined: v.array(text),
  }),
  knives: v.array(
    v.looseObject({
      id: text,
      middle: measured,
      ends: v.array(
        v.looseObject({
          name: text,
          x: number,
          offset: length,
          ...quantity,
          probabilityInside: probability,
          verdict,
        }),
      ),
    }),
  ),
  bed: v.looseObject({
    tilt: length,
    ...quantity,
    span: number,
    probabilityInside: probability,
    verdict,
  }),
  body: v.optional(v.strictObject({ bedTilt: measured, slant: measured })),
  crown: v.looseObject({ value: length, ...quantity }),
  board: v.looseObject({ taper: length, ...quantity, verdict }),
  finish: v.looseObject({ showing: v.array(text), allWithin: uncertainty }),
  faults: v.array(
    v.looseObject({ code: text, probability: number, evidence: text, checkFirst: text }),
  ),
  target: v.looseObject({ name: text }),
  moves: v.array(
    v.looseObject({
      knife: text,
      end: v.nullable(text),
      x: number,
      lift: number,
      turns: v.optional(number),
      direction: v.optional(v.picklist(['clockwise', 'anticlockwise'])),
      shims: v.optional(v.pipe(v.array(number), v.minLength(1))),
      residualAfter: length,
    }),
  ),
  expected: v.looseObject({
    worstEnd: length,
    bedTilt: length,
    probabilityInside: probability,
  }),
  verdicts: v.looseObject({ knives: verdict, bed: verdict, together: verdict }),
  covariance: v.optional(v.strictObject({ of: v.array(text), matrix: v.array(v.array(number)) })),
  notices: v.array(noticeShape),
});

export type Result = v.InferOutput<typeof resultShape>;

/** What a result is to be held against: the machine file's own figures. */
export interface Owner {
  readonly finestTurn?: number;
  readonly raisedBy?: 'clockwise' | 'anticlockwise';
}

/** Everything that is wrong with a result, in words; none for one as it should be. */
export function contractFaults(json: unknown, owner: Owner = {}): string[] {
  const parsed = v.safeParse(resultShape, json);
  if (!parsed.success) {
    return parsed.issues.map((issue) => `${v.getDotPath(issue)}: ${issue.message}`);
  }
  const result = parsed.output;
  return [
    ...readingFaults(result),
    ...instrumentFaults(result),
    ...contradictionFaults(result),
    ...standingFaults(result),
    ...bodyFaults(result),
    ...covarianceFaults(result),
    ...unknownFaults(result),
    ...moveFaults(result, owner),
    ...expectedFaults(result),
    ...verdictFaults(result),
  ];
}

/** A fault's words where something does not hold. */
function unless(holds: boolean, words: string): string[] {
  return holds ? [] : [words];
}

const near = (a: number, b: number) => Math.abs(a - b) <= 1e-9 * Math.max(1, Math.abs(a));

function readingFaults({ readings, fitted, fit }: Result): string[] {
  return [
    ...unless(
      readings.total === readings.used + readings.setAside.length,
      'total is not used + setAside',
    ),
    ...unless(fitted.length === readings.used, 'not every reading used is listed as fitted'),
    ...unless(fit.rank <= fit.parameters, 'rank is above the number of parameters'),
    ...[...fitted, ...readings.setAside].flatMap((each) =>
      'predicted' in each && !near(each.thickness - (each.predicted as number), each.residual!)
        ? [`line ${each.line}: residual is not thickness less predicted`]
        : [],
    ),
  ];
}

function isContradicted({ instruments }: Result): boolean {
  return instruments.some(({ agrees }) => agrees === false);
}

function instrumentFaults({ instruments }: Result): string[] {
  const kinds = instruments.map(({ kind }) => kind);
  return [
    ...unless(
      kinds.join() === instrumentKinds.filter((kind) => kinds.includes(kind)).join(),
      'instruments twice or out of order',
    ),
    ...instruments.flatMap(({ kind, total, used, sd, sdFreedom, agrees, pValue, setAside }) => [
      ...unless(used + setAside.length <= total, `${kind}: more used and set aside than in all`),
      ...unless(used === 0 || sd !== null, `${kind}: used, and nobody knows how good it is`),
      ...unless((sd === null) === (sdFreedom === null), `${kind}: sd and sdFreedom not together`),
      ...unless(agrees !== false || used === 0, `${kind}: contradicts and is used`),
      ...unless(agrees !== null || pValue === null, `${kind}: nothing to compare, yet a pValue`),
      ...unless(agrees !== true || pValue! >= 0.001, `${kind}: agrees at pValue ${pValue}`),
      ...setAside.flatMap(({ line, reason, residual }) =>
        unless(
          reason !== 'excluded' || residual === null,
          `${kind}: line ${line} is excluded and predicted`,
        ),
      ),
    ]),
  ];
}

/** Instruments that contradict the boards are said to, and nothing is turned while they do. */
function contradictionFaults(result: Result): string[] {
  const { instruments, notices, moves, verdicts, expected } = result;
  const isSaid = notices.some(
    ({ code, severity }) => code === 'instruments-disagree' && severity === 'warning',
  );
  if (!isContradicted(result)) return unless(!isSaid, 'instruments disagree, and none is blamed');
  const blamed = instruments.filter(({ agrees }) => agrees === false).map(({ kind }) => kind);
  return [
    ...unless(isSaid, `${blamed.join(', ')}: a contradiction without a warning`),
    ...unless(moves.length === 0 && expected.worstEnd === null, 'moves while instruments disagree'),
    ...unless(
      verdicts.knives === 'undecided' && verdicts.together === 'undecided',
      'decided while instruments disagree',
    ),
  ];
}

/** What the knives stand further out of the body is what the bed lies closer to them than to it. */
function bodyFaults({ body, bed }: Result): string[] {
  if (!body) return [];
  const { bedTilt, slant } = body;
  return [
    ...[bedTilt, slant].flatMap(({ value, u, U }) =>
      unless(
        (value === null) === (u === null) && (u === null || (u > 0 && U! > u)),
        'body: value, u and U do not go together',
      ),
    ),
    ...unless(
      bedTilt.value === null || slant.value === null || bed.tilt === null
        ? true
        : near(bedTilt.value, bed.tilt + slant.value),
      'body: bed and knives are not what the tilt between them is',
    ),
  ];
}

/** Of everything that is known: ends, middles and the tilt; its diagonal is their u squared. */
function covarianceFaults({ covariance, knives, bed }: Result): string[] {
  if (!covariance) return [];
  const { of, matrix } = covariance;
  const known = new Map<string, number>();
  for (const { id, middle, ends } of knives) {
    for (const { name, u } of ends) if (u !== null) known.set(`${id} ${name}`, u);
    if (middle.u !== null) known.set(`${id} middle`, middle.u);
  }
  if (bed.u !== null) known.set('bed tilt', bed.u);
  return [
    ...unless(
      of.toSorted().join('\n') === [...known.keys()].sort().join('\n'),
      'covariance: not of everything that is known, or of more',
    ),
    ...of.flatMap((name, i) => [
      ...unless(matrix[i]?.length === of.length, `covariance: row of ${name}`),
      ...unless(
        Math.abs(Math.sqrt(matrix[i]?.[i] ?? 0) - (known.get(name) ?? 0)) < 1e-9,
        `covariance: the variance of ${name} is not its u squared`,
      ),
      ...unless(
        of.every((_, j) => Math.abs(matrix[i]![j]! - matrix[j]![i]!) < 1e-15),
        `covariance: ${name} is not symmetric`,
      ),
    ]),
  ];
}

function endsOf({ knives }: Result) {
  return knives.flatMap(({ id, ends }) =>
    ends.map((end) => ({ ...end, what: `knife ${id} ${end.name}` })),
  );
}

function standingFaults(result: Result): string[] {
  const { knives, machine, bed, crown, board } = result;
  const quantities = [
    ...endsOf(result).map((end) => ({ ...end, value: end.offset })),
    { what: 'bed', ...bed, value: bed.tilt },
    { what: 'crown', ...crown },
    { what: 'board', ...board, value: board.taper },
  ];
  return [
    ...unless(knives.map(({ id }) => id).join() === machine.knives.join(), 'not every knife once'),
    ...unless(
      knives.every(({ ends: [front, back, ...more] }) => more.length === 0 && front!.x < back!.x),
      'a knife has other ends than front and back',
    ),
    ...quantities.flatMap(({ what, value, u, U }) => [
      ...unless((value === null) === (u === null), `${what}: value and u are not null together`),
      ...unless((value === null) === (U === null), `${what}: value and U are not null together`),
      ...unless(u === null || (u > 0 && U! > u), `${what}: U is not above u, or u not above 0`),
    ]),
    ...[...endsOf(result), { what: 'bed', offset: bed.tilt, ...bed }].flatMap((each) =>
      unless(
        each.verdict === verdictOf(each.probabilityInside) &&
          (each.offset === null) === (each.probabilityInside === null),
        `${each.what}: verdict ${each.verdict} at probability ${each.probabilityInside}`,
      ),
    ),
    ...unless(board.taper !== null || board.verdict === 'undecided', 'board: unknown, yet decided'),
  ];
}

function verdictOf(inside: number | null): string {
  if (inside === null) return 'undecided';
  return inside >= 0.95 ? 'inside' : inside <= 0.05 ? 'outside' : 'undecided';
}

/** What is not known has to be said, in words and in a notice. */
function unknownFaults(result: Result): string[] {
  const { fit, bed, notices, moves, readings } = result;
  const unknownKnives = result.knives.filter(({ ends }) => ends.some((end) => end.offset === null));
  const isComplete = unknownKnives.length === 0 && bed.tilt !== null;
  const warnings = notices.filter(({ severity }) => severity === 'warning');
  return [
    ...unless(isComplete === (fit.undetermined.length === 0), 'undetermined does not tell'),
    ...unless(isComplete || warnings.length > 0, 'something is unknown without a notice'),
    ...unless(unknownKnives.length === 0 || moves.length === 0, 'moves with a knife unknown'),
    ...unless(
      notices.every(({ severity }) => severity !== 'error'),
      'a result with an error',
    ),
    ...readings.setAside.flatMap(({ file, line }) =>
      unless(
        notices.some((notice) => notice.file === file && notice.line === line),
        `${file}:${line} is set aside silently`,
      ),
    ),
  ];
}

function moveFaults({ moves, machine }: Result, { finestTurn, raisedBy }: Owner): string[] {
  const names = moves.map(({ knife, x }) => `${knife} at ${x}`);
  return [
    ...unless(new Set(names).size === names.length, 'one screw is moved twice'),
    ...moves.flatMap(({ knife, lift, turns, shims, direction, x }) => {
      const what = `move of knife ${knife} at ${x}`;
      const steps = (turns ?? 0) / (finestTurn ?? LEAST_TURN);
      const raises = lift > 0;
      return [
        ...unless(machine.knives.includes(knife), `${what}: no such knife`),
        ...unless(lift !== 0, `${what}: nothing moves`),
        ...unless((turns === undefined) !== (shims === undefined), `${what}: turns or shims`),
        ...unless(turns === undefined || turns > 0 === raises, `${what}: signs differ`),
        ...unless(
          finestTurn === undefined || Math.abs(steps - Math.round(steps)) < 1e-9,
          `${what}: not a whole multiple of the finest turn`,
        ),
        ...unless(
          raisedBy === undefined || (direction === raisedBy) === raises,
          `${what}: ${direction} does not follow from the sign`,
        ),
        ...unless(
          shims === undefined ||
            near(
              shims.reduce((sum, piece) => sum + piece, 0),
              lift,
            ),
          `${what}: the pieces are not the lift`,
        ),
      ];
    }),
  ];
}

/** What the moves leave, worked out from offsets and lifts: raising one knife raises the mean too. */
function expectedFaults(result: Result): string[] {
  const { knives, moves, expected, bed } = result;
  if (expected.worstEnd === null) return unless(moves.length === 0, 'moves, and nothing expected');
  const meanLifts: number[] = [];
  const after = [0, 1].flatMap((end) => {
    const lifts = knives.map(({ id, ends }) => {
      const move = moves.find(({ knife, x }) => knife === id && x === ends[end]!.x);
      return { move, lift: move?.lift ?? 0, offset: ends[end]!.offset! };
    });
    const mean = lifts.reduce((sum, { lift }) => sum + lift, 0) / knives.length;
    meanLifts.push(mean);
    return lifts.map(({ move, lift, offset }) => ({ move, stands: offset + lift - mean }));
  });
  const worst = Math.max(...after.map(({ stands }) => Math.abs(stands)));
  const tilt = bed.tilt === null ? null : bed.tilt - (meanLifts[1]! - meanLifts[0]!);
  return [
    ...after.flatMap(({ move, stands }) =>
      unless(
        move === undefined || near(move.residualAfter!, stands),
        `knife ${move?.knife} at ${move?.x}: residualAfter is ${move?.residualAfter}, not ${stands}`,
      ),
    ),
    ...unless(near(expected.worstEnd, worst), `worstEnd is ${expected.worstEnd}, not ${worst}`),
    ...unless(
      tilt === null ? expected.bedTilt === null : near(expected.bedTilt!, tilt),
      `bedTilt is ${expected.bedTilt}, not ${tilt}`,
    ),
  ];
}

function verdictFaults(result: Result): string[] {
  const { verdicts, bed } = result;
  const isOpen = isContradicted(result);
  const ends = endsOf(result).map((end) => end.verdict);
  const anyOutside = ends.includes('outside');
  return [
    ...unless(verdicts.bed === bed.verdict, 'verdicts.bed is not the bed’s'),
    ...unless(
      !anyOutside || isOpen || verdicts.knives === 'outside',
      'an end is outside, the knives not',
    ),
    ...unless(
      verdicts.knives !== 'inside' || ends.every((each) => each === 'inside'),
      'the knives are inside, an end is not',
    ),
    ...unless(
      verdicts.together !== 'inside' || (verdicts.knives === 'inside' && verdicts.bed === 'inside'),
      'together inside, one of them not',
    ),
    ...unless(
      (verdicts.knives !== 'outside' && verdicts.bed !== 'outside') ||
        isOpen ||
        verdicts.together === 'outside',
      'one is outside, together not',
    ),
  ];
}
