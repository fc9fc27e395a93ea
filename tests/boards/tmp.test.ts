import { test } from 'vitest';
import { inShort, readFixtures, fixtureNames } from './files.js';
import { toLongCsv } from '../../src/boards/write-long.js';
test('t', () => {
  for (const f of ['boards', 'broken'] as const) for (const name of fixtureNames(f)) {
    const r = readFixtures(f, name);
    console.log(`== ${f} ${name}\n${r.readings.length ? toLongCsv(r.readings) : ''}${JSON.stringify(inShort(r))}`);
    for (const n of r.notices) if (!n.hint && n.severity === 'error') console.log('!!', n);
  }
});
