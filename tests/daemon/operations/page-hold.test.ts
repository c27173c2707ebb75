import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import pino from 'pino';
import { expect, it, onTestFinished } from 'vitest';
import { openDemo } from '../../../daemon/config/demo.ts';
import { CAUTIONS } from '../../../daemon/gate/cautions.ts';
import { confirmPlan } from '../../../daemon/gate/gate.ts';
import { emptyView } from '../../../daemon/operations/operations-view.ts';
import { type ServiceParts, startService } from '../../../daemon/operations/service.ts';
import { openDatabase } from '../../../daemon/store/database.ts';
import { openHolds } from '../../../daemon/store/holds.ts';
import { newestPlan } from '../../../daemon/store/plans.ts';
import { DEED_HEADER } from '../../../daemon/web/safety/request-origin.ts';
import { sessions } from '../../../daemon/web/safety/sessions.ts';
import { scratchFolder } from '../../scratch-site.ts';

const NOW_MS = Date.parse('2026-07-01T09:10:00Z');

it('a hold at the page stops water on a full disk, and is written once there is room', async () => {
  const cwd = scratchFolder();
  const read = openDemo(cwd, NOW_MS);
  if (!read.ok) throw new Error('the demo is not sound');
  const config = { ...read.config, page: { ...read.config.page, port: 0 } };
  const db = openDatabase(config.dataFolder);
  const parts: ServiceParts = {
    db,
    log: pino({ level: 'silent' }),
    now: () => NOW_MS,
    view: emptyView(),
    unwrittenHolds: [],
    signIns: sessions(),
  };
  const service = await startService(config, parts);
  onTestFinished(async () => {
    await service.stop();
    db.close();
  });
  await service.daemon().nudge();
  const stored = newestPlan(db);
  if (stored === null) throw new Error('no plan was made');
  const gate = { db, clock: config.clock, outputs: ['file'], nowMs: NOW_MS };
  confirmPlan(gate, {
    revision: stored.plan.revision,
    digest: stored.digest,
    who: 'A. Keeper',
    cautions: CAUTIONS.map((caution) => caution.code),
  });
  await service.daemon().nudge();
  const sent = () =>
    JSON.parse(readFileSync(join(cwd, 'dewbeat-data', 'out', 'plan.json'), 'utf8')) as {
      runs: unknown[];
      withdrawn: { who: string } | null;
    };
  expect(sent().runs.length).toBeGreaterThan(10);

  db.pragma('query_only = ON');
  const url = service.pageUrl() ?? '';
  const answer = await fetch(`${url}/api/hold`, {
    method: 'POST',
    headers: { 'content-type': 'application/json', origin: url, [DEED_HEADER]: '1' },
    body: JSON.stringify({ beds: 'all', who: 'B. Mower', why: 'burst pipe' }),
  });
  expect(answer.status).toBe(503);
  expect(await answer.json()).toMatchObject({
    code: 'hold_unwritten',
    message: expect.stringMatching(/could not be written .*; the water is stopped, but/),
  });
  expect(sent()).toMatchObject({ runs: [], withdrawn: { who: 'B. Mower' } });
  expect(openHolds(db)).toEqual([]);

  db.pragma('query_only = OFF');
  await service.daemon().nudge();
  expect(openHolds(db)).toMatchObject([{ who: 'B. Mower', why: 'burst pipe', beds: 'all' }]);
  expect(sent().runs).toEqual([]);
});
