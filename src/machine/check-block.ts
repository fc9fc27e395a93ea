import { checkOnBlock } from './check-positions.js';
import type { Draft } from './draft.js';
import type { Problem } from './problem.js';

/** Words that stand for several knives or none in readings and options; nobody's id. */
export const RESERVED_IDS: readonly string[] = ['all', 'body', 'mean', 'bed', 'highest', 'lowest'];

const MOST_KNIVES = 24;

/** What the keys of the block ask of one another. */
export function checkBlock(draft: Draft): Problem[] {
  return [
    ...checkKnives(draft.block?.knives),
    ...checkAngles(draft.block?.angles, draft.block?.knives),
    ...checkProjection(draft),
  ];
}

function checkKnives(knives: readonly string[] | undefined): Problem[] {
  if (!knives) return [];
  const count = knives.length;
  const problems: Problem[] = [];
  if (count < 1 || count > MOST_KNIVES) {
    const path = ['block', 'knives'];
    const expected = `1 to ${MOST_KNIVES} knives`;
    problems.push({ code: 'bad-value', path, message: `lists ${count} knives`, expected });
  }
  const seen = knives.map((id) => id.toLowerCase());
  seen.forEach((id, index) => {
    const path = ['block', 'knives', index];
    if (seen.indexOf(id) < index) {
      problems.push({ code: 'equal-ids', path, message: 'is the id of an earlier knife too' });
    }
    if (RESERVED_IDS.includes(id)) {
      const expected = `an id other than ${RESERVED_IDS.join(', ')}, which have meanings of their own`;
      problems.push({ code: 'reserved-id', path, message: 'cannot be a knife’s id', expected });
    }
  });
  return problems;
}

function checkAngles(
  angles: readonly number[] | undefined,
  knives: readonly string[] | undefined,
): Problem[] {
  if (!angles) return [];
  const path = ['block', 'angles'];
  const expected = 'one angle a knife in degrees, ascending, all within one turn';
  if (knives && angles.length !== knives.length) {
    const message = `has ${angles.length} angles for ${knives.length} knives`;
    return [{ code: 'bad-value', path, message, expected }];
  }
  const ascending = angles.every((angle, index) => index === 0 || angle > angles[index - 1]!);
  if (ascending && angles.at(-1)! - angles[0]! < 360) return [];
  return [{ code: 'bad-value', path, message: 'does not go once round the block', expected }];
}

function checkProjection(draft: Draft): Problem[] {
  const { block } = draft;
  const projection = block?.projection;
  if (!projection) {
    if (block?.max_projection === undefined) return [];
    const message = 'needs one measured projection, to know where the edges stand now';
    return [{ code: 'missing-key', path: ['block', 'projection'], message, atKey: true }];
  }
  const problems: Problem[] = [];
  if (projection.knife !== undefined && block.knives && !block.knives.includes(projection.knife)) {
    const path = ['block', 'projection', 'knife'];
    const expected = `one of the knives: ${block.knives.join(', ')}`;
    problems.push({ code: 'unknown-knife', path, message: 'is not one of the knives', expected });
  }
  if (projection.x !== undefined) {
    problems.push(...checkOnBlock(projection.x, draft, ['block', 'projection', 'x']));
  }
  return problems;
}
