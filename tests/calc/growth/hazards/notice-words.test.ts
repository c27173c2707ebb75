import { readdirSync, readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { NOTICE_CODES } from '../../../../calc/growth/notice.ts';

const folder = new URL('../../../../calc/growth/hazards/', import.meta.url);
const sources = readdirSync(folder).map((name) => readFileSync(new URL(name, folder), 'utf8'));

test('every code is raised by a hazard, and every code raised is listed', () => {
  const raised = sources.flatMap((source) =>
    [...source.matchAll(/code: '(\w+)'/g)].map((match) => match[1] ?? ''),
  );
  expect([...new Set(raised)].sort()).toEqual([...NOTICE_CODES].sort());
});

test('no hazard gives chemical advice', () => {
  for (const source of sources) expect(source).not.toMatch(/fungicid|pesticid|spray|chemical/i);
});
