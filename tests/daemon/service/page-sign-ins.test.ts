import pino from 'pino';
import { beforeAll, describe, expect, it, onTestFinished } from 'vitest';
import { ACTION_HEADER } from '../../../daemon/faces/web/safety/request-origin.ts';
import { sessions } from '../../../daemon/faces/web/safety/sessions.ts';
import { webServer } from '../../../daemon/faces/web/server.ts';
import { emptyView } from '../../../daemon/service/monitoring.ts';
import { startService } from '../../../daemon/service/service.ts';
import type { LoadedConfig } from '../../../daemon/site/config/config.ts';
import { openDemo } from '../../../daemon/site/config/demo.ts';
import { pinHash } from '../../../daemon/site/config/pin-hash.ts';
import { openDatabase } from '../../../daemon/site/store/database.ts';
import { fetchAlone } from '../../own-connection.ts';
import { scratchFolder } from '../../scratch-site.ts';

type People = LoadedConfig['page']['people'];

const MORNING_MS = Date.parse('2026-07-01T09:10:00Z');
const HOUR_MS = 3_600_000;
const PIN = '271828';
/** A thirtieth of the real cost, so that the tests are quick. */
const CHEAP = { N: 1024, r: 8, p: 1 };
/** Each request on a line of its own: a reload shuts the lines that are open. */
const ALONE = { connection: 'close' };

let people: People;
let otherPin: string;
beforeAll(async () => {
  const pin = await pinHash(PIN, CHEAP);
  otherPin = await pinHash(PIN, CHEAP);
  people = ['A. Keeper', 'B. Keeper', 'C. Keeper', 'D. Keeper'].map((name) => ({
    name,
    pin,
    role: 'keeper' as const,
    language: 'en' as const,
  }));
});

/** The demo's service with these people, whose config a test reads again. */
async function served() {
  const read = openDemo(scratchFolder(), MORNING_MS);
  if (!read.ok) throw new Error('the demo is not sound');
  const base = read.config;
  const db = openDatabase(base.dataFolder);
  const clock = { nowMs: MORNING_MS };
  const withPeople = (named: People, idle = 720): LoadedConfig => ({
    ...base,
    page: { ...base.page, port: 0, people: named, idle },
  });
  const signIns = sessions();
  const service = await startService(withPeople(people), {
    db,
    log: pino({ level: 'silent' }),
    now: () => clock.nowMs,
    view: emptyView(),
    unwrittenHolds: [],
    makeServer: (served) => webServer({ ...served, signIns }),
  });
  onTestFinished(async () => {
    await service.stop();
    db.close();
  });
  const url = () => service.pageUrl() ?? '';
  return {
    clock,
    reload: (named: People, idle?: number) => service.restart(withPeople(named, idle)),
    async signIn(name: string): Promise<string> {
      const answer = await fetchAlone(`${url()}/api/sign-in`, {
        method: 'POST',
        headers: { ...ALONE, 'content-type': 'application/json', [ACTION_HEADER]: '1' },
        body: JSON.stringify({ name, pin: PIN }),
      });
      expect(answer.status).toBe(200);
      return answer.headers.get('set-cookie')?.split(';')[0] ?? '';
    },
    /** 200 while the person is still signed in, 401 once they are not. */
    async reads(cookie: string): Promise<number> {
      return (await fetchAlone(`${url()}/api/today`, { headers: { ...ALONE, cookie } })).status;
    },
  };
}

describe('a config that is read again', () => {
  it('leaves those signed in whom it names as before, and signs the others out for good', async () => {
    const site = await served();
    const same = await site.signIn('A. Keeper');
    const watcher = await site.signIn('B. Keeper');
    const repinned = await site.signIn('C. Keeper');
    const gone = await site.signIn('D. Keeper');
    await site.reload([
      { ...person('B. Keeper'), role: 'watcher' },
      { ...person('C. Keeper'), pin: otherPin },
      person('A. Keeper'),
    ]);
    const standings = async () => Promise.all([same, watcher, repinned, gone].map(site.reads));
    expect(await standings()).toEqual([200, 401, 401, 401]);
    // Named as before again, they still have to sign in: what has ended does not come back.
    await site.reload(people);
    expect(await standings()).toEqual([200, 401, 401, 401]);
  });

  it('puts no sign-in off: its idle time goes on, by the limit of the newest config', async () => {
    const site = await served();
    const cookie = await site.signIn('A. Keeper');
    site.clock.nowMs += 11 * HOUR_MS;
    await site.reload(people);
    expect(await site.reads(cookie)).toBe(200);
    site.clock.nowMs += HOUR_MS;
    expect(await site.reads(cookie)).toBe(401);
    const again = await site.signIn('A. Keeper');
    site.clock.nowMs += HOUR_MS;
    await site.reload(people, 60);
    expect(await site.reads(again)).toBe(401);
  });

  it('that names nobody any more ends every sign-in', async () => {
    const site = await served();
    const cookie = await site.signIn('A. Keeper');
    await site.reload([]);
    await site.reload(people);
    expect(await site.reads(cookie)).toBe(401);
  });
});

function person(name: string): People[number] {
  const found = people.find((one) => one.name === name);
  if (found === undefined) throw new Error(`${name} is not among the people`);
  return found;
}
