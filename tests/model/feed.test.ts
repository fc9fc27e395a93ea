import { describe, expect, it } from 'vitest';
import { feedAt, feedOf, gapsOf, machineFeed } from '../../src/model/feed.js';
import { benchMachine } from '../machines.js';

const close = (values: readonly number[]) => values.map((value) => expect.closeTo(value, 12));

describe('the feed of a block', () => {
  it('has evenly spaced knives pass at equal steps', () => {
    const feed = feedOf(1.5, 4, 60, null);
    expect(feed.period).toBe(6);
    expect(feed.positions).toEqual([0, 1.5, 3, 4.5]);
    expect(gapsOf(feed)).toEqual([1.5, 1.5, 1.5, 1.5]);
  });

  it('counts angles from the first knife, wherever the owner counts them from', () => {
    const even = feedOf(2, 3, 60, null);
    for (const first of [0, 17, 300]) {
      const angles = [first, first + 120, first + 240];
      expect(feedOf(2, 3, 60, angles).positions).toEqual(close(even.positions));
    }
  });

  it('has unevenly spaced knives pass where their angles say', () => {
    // A quarter, a third and five twelfths of the turn.
    const feed = feedOf(4, 3, 60, [30, 120, 240]);
    expect(feed.positions).toEqual(close([0, 3, 7]));
    expect(gapsOf(feed)).toEqual(close([3, 4, 5]));
  });

  it('has one knife follow itself', () => {
    expect(gapsOf(feedOf(2, 1, 60, null))).toEqual([2]);
  });

  it('is that of the machine: 4500 rpm, 9 m/min, four knives', () => {
    const feed = machineFeed(benchMachine())!;
    expect(feed.period).toBeCloseTo(2, 12);
    expect(feed.positions).toEqual(close([0, 0.5, 1, 1.5]));
    expect(feedAt(benchMachine(), 2)).toEqual(feed);
    const [slow, fast] = [feedAt(benchMachine(), 1), feedAt(benchMachine(), 8)];
    expect(gapsOf(slow)).toEqual(close([0.25, 0.25, 0.25, 0.25]));
    expect(gapsOf(fast)).toEqual(close([2, 2, 2, 2]));
  });

  it('is none where the file gives no feed or no speed', () => {
    const { block } = benchMachine();
    expect(machineFeed(benchMachine({ feedSpeed: null }))).toBeNull();
    expect(machineFeed(benchMachine({ block: { ...block, speed: null } }))).toBeNull();
  });
});
