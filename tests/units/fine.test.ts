import { describe, expect, it } from 'vitest';
import { formatFine, formatFineWithin } from '../../src/units/fine.js';
import { formatFeed } from '../../src/units/speed.js';

describe('small heights', () => {
  it.each([
    [0.0082458, 'mm', '8.2 µm'],
    [0.000515, 'mm', '0.52 µm'],
    [0.0361, 'mm', '36 µm'],
    [0.3561, 'mm', '356 µm'],
    [0, 'mm', '0 µm'],
    [-1e-12, 'mm', '0.0000 µm'],
    [0.0082458, 'in', '0.32 thou'],
    [0.0254, 'in', '1.0 thou'],
  ] as const)('%f mm in %s is %s', (mm, unit, text) => {
    expect(formatFine(mm, unit)).toBe(text);
  });

  it.each([
    [0.00123, 0.00042, '+1.23'],
    [-0.0312, 0.0103, '-31'],
    [0.00004, 0.0042, '0.0'],
    [-0.0061844, null, '-6.2'],
  ])('%f mm within ± %f mm shows the digits that are known: %s', (mm, U, text) => {
    expect(formatFineWithin(mm, U, 'mm')).toBe(text);
  });
});

describe('feeds', () => {
  it.each([
    [9000, 'mm', '9 m/min'],
    [9000, 'in', '29.5 ft/min'],
    [9144, 'in', '30 ft/min'],
    [8857.14, 'mm', '8.86 m/min'],
  ] as const)('%f mm/min is %s', (feed, unit, text) => {
    expect(formatFeed(feed, unit)).toBe(text);
  });
});
