import * as v from 'valibot';
import type { UnitBook } from '../units/unit-book.js';
import {
  contact,
  countOf,
  day,
  finiteNumber,
  length,
  oneOf,
  speed,
  table,
  text,
  thread,
  turns,
} from './values.js';

/**
 * What each key of a machine file holds, taken by itself. What keys ask of one another, such as screws of
 * their thread, is in the checks.
 * @param unit the unit of plain numbers
 * @param book where units in texts are looked up
 */
export function machineSchema(unit: 'mm' | 'in', book: UnitBook) {
  const positive = length(unit, book);
  const position = length(unit, book, 'any');
  return v.object({
    name: text,
    unit: v.optional(oneOf('mm', 'in')),
    block: table({
      knives: v.array(text),
      cutting_diameter: positive,
      length: positive,
      speed: v.optional(speed('rotation', book)),
      max_speed: v.optional(speed('rotation', book)),
      max_projection: v.optional(positive),
      projection: v.optional(
        table({ knife: text, x: position, value: length(unit, book, 'zero-or-more') }),
      ),
      angles: v.optional(v.array(finiteNumber)),
    }),
    feed: v.optional(table({ speed: v.optional(speed('feed', book)) })),
    adjusters: adjustersSchema(unit, book),
    bed: v.optional(
      table({
        repeatability: v.optional(
          v.lazy((written) => (written === 'unknown' ? v.literal('unknown') : positive)),
        ),
        at: v.optional(v.array(position)),
        thread: v.optional(thread),
        pitch: v.optional(positive),
      }),
    ),
    set: v.optional(
      table({
        name: v.optional(text),
        edge: v.optional(text),
        fitted: v.optional(day),
        note: v.optional(text),
      }),
    ),
    outfeed: v.optional(table({ present: v.optional(v.boolean()) })),
    tolerance: v.optional(table({ knife: v.optional(positive), bed: v.optional(positive) })),
    instrument: v.optional(
      table({
        resolution: v.optional(positive),
        max_error: v.optional(positive),
        reading_sd: v.optional(positive),
        contact: v.optional(contact(unit, book)),
        reach: v.optional(positive),
      }),
    ),
  });
}

function adjustersSchema(unit: 'mm' | 'in', book: UnitBook) {
  const positive = length(unit, book);
  return table({
    kind: v.optional(oneOf('screw', 'shim')),
    at: v.array(length(unit, book, 'any')),
    names: v.optional(v.array(text)),
    thread: v.optional(thread),
    pitch: v.optional(positive),
    lift_per_turn: v.optional(positive),
    raised_by: v.optional(oneOf('clockwise', 'anticlockwise')),
    finest_turn: v.optional(turns),
    turn_sd: v.optional(turns),
    approach: v.optional(oneOf('raise', 'lower')),
    stock: v.optional(
      v.array(
        v.lazy((written) =>
          typeof written === 'object'
            ? table({ thickness: positive, count: v.optional(countOf) })
            : positive,
        ),
      ),
    ),
    most: v.optional(countOf),
  });
}

/** A machine file whose keys are each right by themselves: lengths in mm, speeds a minute, turns. */
export type Description = v.InferOutput<ReturnType<typeof machineSchema>>;
