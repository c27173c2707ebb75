import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import pino from 'pino';
import { expect, it, onTestFinished } from 'vitest';
import { ACTION_HEADER } from '../../../daemon/faces/web/safety/request-origin.ts';
import { webServer } from '../../../daemon/faces/web/server.ts';
import { emptyView } from '../../../daemon/service/monitoring.ts';
import { type ServiceParts, startService } from '../../../daemon/service/service.ts';
import { openDemo } from '../../../daemon/site/config/demo.ts';
import { confirmPlan } from '../../../daemon/site/gate/gate.ts';
import { siteInUseOf } from '../../../daemon/site/gate/site-changes.ts';
import { CAUTIONS } from '../../../daemon/site/gate/valid-confirm.ts';
import { openDatabase } from '../../../daemon/site/store/database.ts';
import { openHolds } from '../../../daemon/site/store/holds-and-keep-offs.ts';
import { newestPlan } from '../../../daemon/site/store/plans.ts';
import { fetchAlone } from '../../own-connection.ts';
import { scratchFolder } from '../../scratch-site.ts';

const NOW_MS = Date.parse('2026-07-01T09:10:00Z');

/** The demo's service with a plan in force, and what stands in the output's folder. */
async function wateringSite() {
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
    makeServer: webServer,
  };
  const service = await startService(config, parts);
  onTestFinished(async () => {
    await service.stop();
    db.close();
  });
  await service.daemon().nudge();
  const stored = newestPlan(db);
  if (stored === null) throw new Error('no plan was made');
  const gate = {
    db,
    clock: config.clock,
    site: siteInUseOf(config),
    outputs: ['file'],
    nowMs: NOW_MS,
  };
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

  const holdAll = async () => {
    const url = service.pageUrl() ?? '';
    return fetchAlone(`${url}/api/hold`, {
      method: 'POST',
      headers: { 'content-type': 'application/json', origin: url, [ACTION_HEADER]: '1' },
      body: JSON.stringify({ beds: 'all', who: 'B. Mower', why: 'burst pipe' }),
    });
  };
  return { service, db, sent, holdAll };
}

it('a hold at the page stops water on a full disk, and is written once there is room', async () => {
  const { service, db, sent, holdAll } = await wateringSite();
  db.pragma('query_only = ON');
  const answer = await holdAll();
  expect(answer.status).toBe(503);
  expect(await answer.json()).toMatchObject({
    code: 'hold_unwritten',
    message: expect.stringMatching(
      /NOT WRITTEN.*could not be written .*; the water is stopped, but/,
    ),
  });
  expect(sent()).toMatchObject({ runs: [], withdrawn: { who: 'B. Mower' } });
  expect(openHolds(db)).toEqual([]);

  db.pragma('query_only = OFF');
  await service.daemon().nudge();
  expect(openHolds(db)).toMatchObject([{ who: 'B. Mower', why: 'burst pipe', beds: 'all' }]);
  expect(sent().runs).toEqual([]);
});

it('a hold that the store has taken while it was being sent is a hold like any other', async () => {
  const { service, db, sent, holdAll } = await wateringSite();
  const file = service.daemon().outputs.get('file');
  if (file === undefined) throw new Error('the demo has no output');
  const { stopNow } = file;
  // As when the old files are given up on a full disk, and their room lets the store write.
  file.stopNow = async (asked) => {
    const answer = await stopNow(asked);
    db.pragma('query_only = OFF');
    await service.daemon().nudge();
    return answer;
  };
  db.pragma('query_only = ON');
  const answer = await holdAll();
  expect(answer.status).toBe(200);
  const [held] = openHolds(db);
  expect(held).toMatchObject({ who: 'B. Mower', beds: 'all' });
  expect(await answer.json()).toMatchObject({
    line: 'Water stopped: everything.',
    holdId: held?.holdId,
  });
  expect(sent()).toMatchObject({ runs: [], withdrawn: { who: 'B. Mower' } });
});
