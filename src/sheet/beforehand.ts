import type { Prior } from '../fit/problem.js';
import type { Machine } from '../machine/machine.js';
import { addBed, addKnife, type Combination, type Layout } from '../model/layout.js';
import type { TestCutModel } from '../model/test-cut.js';

// What is to be expected of a machine before any reading; standard deviations in mm, all common
// practice, no source. They only have to tell a slip of the eye from a machine that is out of true.

/** A knife's end from the mean of the knives there. */
const KNIFE_SD = 0.15;
const TILT_SD = 0.2;
const CROWN_SD = 0.05;
/** Boards cut by hand and under power: the bed is moved in between as it suits the wood at hand. */
const LEVELS_SD = 5;
/** By so much the highest knife stands out beyond the mean of all: full boards are thinner. */
const HIGHEST = 0.1;
/** The highest of the knives along the block. */
const ENVELOPE_SD = 0.15;
/** Boards where the bed's lock is worth nothing that is known. */
const LOCK_SD = 0.1;
/** Nobody knows how thick the first board is. */
const THICKNESS_SD = 1000;

/** The model's own priors, and weak ones on everything that a single reading leaves open. */
export function knownBeforehand(machine: Machine, model: TestCutModel): Prior[] {
  const { layout, priors } = model;
  const rows: Prior[] = [...priors, ...levelPriors(layout)];
  const add = (sd: number, fill: (combination: Combination) => void) => {
    rows.push({ combination: filled(layout, fill), value: 0, sd });
  };
  layout.knives.forEach((_, knife) => {
    for (const x of [layout.span.front, layout.span.back]) {
      add(KNIFE_SD, (out) => addKnife(layout, out, knife, x, 1));
    }
  });
  add(TILT_SD, one(layout.at.tilt));
  if (layout.bows) add(CROWN_SD, one(layout.at.crown));
  if (machine.bed.repeatability === null) {
    layout.boards.forEach((_, board) => {
      add(LOCK_SD, one(layout.at.board + board));
    });
  }
  return rows;
}

/** Levels lie within a few millimetres of each other, and full boards come out much as the bed lies. */
function levelPriors(layout: Layout): Prior[] {
  const { levels, nodes, at } = layout;
  const [firstNode] = nodes;
  const gap = (level: number, weight: number) => (out: Combination) => {
    out[level]! += weight;
    // A full board's level is that at its first place, bed and all.
    if (levels[level]!.kind === 'full') addBed(layout, out, firstNode!, -weight);
  };
  const lower = (level: number) => (levels[level]!.kind === 'full' ? HIGHEST : 0);
  const rows = levels.map((_, level) => ({
    combination: filled(layout, (out) => {
      gap(level, 1)(out);
      if (level > 0) gap(0, -1)(out);
    }),
    value: level > 0 ? lower(0) - lower(level) : 0,
    sd: level > 0 ? LEVELS_SD : THICKNESS_SD,
  }));
  const along = nodes.slice(1).map((x, i) => ({
    combination: filled(layout, (out) => {
      out[at.node + i] = 1;
      addBed(layout, out, x, -1);
      addBed(layout, out, firstNode!, 1);
    }),
    value: 0,
    sd: ENVELOPE_SD,
  }));
  return [...rows, ...along];
}

function one(parameter: number): (out: Combination) => void {
  return (out) => {
    out[parameter] = 1;
  };
}

function filled(layout: Layout, fill: (out: Combination) => void): Combination {
  const out = new Float64Array(layout.size);
  fill(out);
  return out;
}
