import { stat } from 'node:fs/promises';
import { beforeAll, describe, expect, it, vi } from 'vitest';
import type { LoadedConfig } from '../../../../daemon/site/config/config.ts';
import { pinHash } from '../../../../daemon/site/config/pin-hash.ts';
import { type Answered, type PageRig, pageRig } from './page-rig.ts';

/** How PINs are being looked at. */
const looked = vi.hoisted(() => ({ begun: 0, atOnce: 0, most: 0, hashes: [] as string[] }));
vi.mock('../../../../daemon/site/config/pin-hash.ts', async (original) => {
  const real = await original<typeof import('../../../../daemon/site/config/pin-hash.ts')>();
  return {
    ...real,
    pinMatches: async (pin: string, hash: string) => {
      looked.begun += 1;
      looked.atOnce += 1;
      looked.most = Math.max(looked.most, looked.atOnce);
      looked.hashes.push(hash);
      const matches = await real.pinMatches(pin, hash);
      looked.atOnce -= 1;
      return matches;
    },
  };
});

/** Invented people with invented PINs. */
const KEEPER = { name: 'A. Keeper', pin: '271828' };
const WATCHER = { name: 'B. Watcher', pin: '314159' };
/** A thirtieth of the real cost, so that the tests are quick. */
const CHEAP = { N: 1024, r: 8, p: 1 };
const HOUR_MS = 3_600_000;
const WRONG = '000000';

let people: LoadedConfig['page']['people'];
beforeAll(async () => {
  people = [
    { name: KEEPER.name, pin: await pinHash(KEEPER.pin, CHEAP), role: 'keeper', language: 'en' },
    { name: WATCHER.name, pin: await pinHash(WATCHER.pin, CHEAP), role: 'watcher', language: 'es' },
  ];
});

const withPage = (page: Partial<LoadedConfig['page']>) => (config: LoadedConfig) => ({
  ...config,
  page: { ...config.page, people, ...page },
});

/** A page whose proxy tells who is asking. */
const proxied = () => pageRig(withPage({ proxies: ['127.0.0.1'] }));
const from = (ip: string) => ({ 'x-forwarded-for': ip });

const codeOf = ({ status, body }: Answered) => [status, body.code];
const guess = (rig: PageRig, name: string, pin = WRONG, headers = {}) =>
  rig.post('/api/sign-in', { name, pin }, headers);

/** Cookies of an answer as a browser sends them back. */
function cookiesOf({ headers }: Answered): { cookie: string } {
  const set = [headers['set-cookie']].flat().map((one) => String(one).split(';')[0]);
  return { cookie: set.join('; ') };
}

describe('wrong PINs', () => {
  it('are answered alike for a name that is there and one that is not', async () => {
    const rig = await pageRig(withPage({}));
    const known = await guess(rig, KEEPER.name);
    const unknown = await guess(rig, 'C. Nobody');
    expect(known.status).toBe(401);
    expect(unknown.text).toBe(known.text);
  });

  it('cost a wait that doubles, also for the right one', async () => {
    const rig = await pageRig(withPage({}));
    for (let at = 0; at < 3; at++) expect((await guess(rig, KEEPER.name)).status).toBe(401);
    const waits: number[] = [];
    for (let at = 0; at < 3; at++) {
      const said = await guess(rig, KEEPER.name, KEEPER.pin);
      expect(codeOf(said)).toEqual([429, 'too_many_attempts']);
      expect(said.headers['retry-after']).toBe(String(said.body.retryAfterS));
      waits.push(said.body.retryAfterS ?? 0);
      rig.clock.nowMs += (said.body.retryAfterS ?? 0) * 1000;
      if (at < 2) expect((await guess(rig, KEEPER.name)).status).toBe(401);
    }
    expect(waits).toEqual([2, 4, 8]);
    expect((await guess(rig, KEEPER.name, KEEPER.pin)).status).toBe(200);
  });

  it('count when many come at once', async () => {
    const rig = await pageRig(withPage({}));
    const said = await Promise.all(Array.from({ length: 8 }, () => guess(rig, KEEPER.name, WRONG)));
    expect(said.filter(({ status }) => status === 401)).toHaveLength(3);
    expect(said.filter(({ status }) => status === 429)).toHaveLength(5);
  });

  it('of others, from elsewhere, never keep the right one waiting', async () => {
    const rig = await proxied();
    for (let at = 1; at <= 40; at++) await guess(rig, KEEPER.name, WRONG, from(`192.0.2.${at}`));
    const said = await guess(rig, KEEPER.name, KEEPER.pin, from('198.51.100.1'));
    expect(said.status).toBe(200);
  });

  it('of others, from the same address, do so only by the dozen', async () => {
    const rig = await proxied();
    const here = from('192.0.2.9');
    for (let at = 0; at < 29; at++) await guess(rig, `name ${at}`, WRONG, here);
    expect((await guess(rig, WATCHER.name, WATCHER.pin, here)).status).toBe(200);
    await guess(rig, 'name 29', WRONG, here);
    const said = await guess(rig, WATCHER.name, WATCHER.pin, here);
    expect(codeOf(said)).toEqual([429, 'too_many_attempts']);
    expect(said.body.retryAfterS).toBe(2);
    rig.clock.nowMs += 2_000;
    expect((await guess(rig, WATCHER.name, WATCHER.pin, here)).status).toBe(200);
  });

  it('are none when they are right, however often a crew signs in at one address', async () => {
    const rig = await proxied();
    for (let at = 0; at < 40; at++) {
      const said = await guess(rig, WATCHER.name, WATCHER.pin, from('192.0.2.9'));
      expect(said.status).toBe(200);
    }
  });

  it('count for the whole network of an IPv6 address', async () => {
    const rig = await proxied();
    for (const end of ['1', '2', 'ffff:1']) {
      await guess(rig, KEEPER.name, WRONG, from(`2001:db8:0:7::${end}`));
    }
    const near = await guess(rig, KEEPER.name, KEEPER.pin, from('2001:db8:0:7:9::1'));
    expect(near.status).toBe(429);
    const apart = await guess(rig, KEEPER.name, KEEPER.pin, from('2001:db8:0:8::1'));
    expect(apart.status).toBe(200);
  });

  it.each([-HOUR_MS, -24 * HOUR_MS, HOUR_MS])(
    'wait as long with the clock set by %i ms',
    async (setMs) => {
      const rig = await pageRig(withPage({}));
      for (let at = 0; at < 3; at++) await guess(rig, KEEPER.name);
      rig.clock.nowMs += 500;
      rig.clock.nowMs += setMs;
      rig.clock.setByMs += setMs;
      const said = await guess(rig, KEEPER.name, KEEPER.pin);
      expect(said.body.retryAfterS).toBe(2);
      rig.clock.nowMs += 1_500;
      expect((await guess(rig, KEEPER.name, KEEPER.pin)).status).toBe(200);
    },
  );
});

describe('a device that somebody has signed in from', () => {
  const signedIn = async (rig: PageRig, headers = {}) => {
    const said = await guess(rig, KEEPER.name, KEEPER.pin, headers);
    expect(said.status).toBe(200);
    return cookiesOf(said);
  };

  it('is kept waiting for no wrong PIN but its own', async () => {
    const rig = await proxied();
    const here = from('192.0.2.9');
    const device = { ...here, ...(await signedIn(rig, here)) };
    for (let at = 0; at < 5; at++) await guess(rig, KEEPER.name, WRONG, here);
    expect((await guess(rig, KEEPER.name, KEEPER.pin, here)).status).toBe(429);
    expect((await guess(rig, KEEPER.name, KEEPER.pin, device)).status).toBe(200);
    for (let at = 0; at < 3; at++) await guess(rig, KEEPER.name, WRONG, device);
    expect((await guess(rig, KEEPER.name, KEEPER.pin, device)).status).toBe(429);
  });

  it('is not kept waiting for the others at its address', async () => {
    const rig = await proxied();
    const here = from('192.0.2.9');
    const device = { ...here, ...(await signedIn(rig, here)) };
    for (let at = 0; at < 30; at++) await guess(rig, `name ${at}`, WRONG, here);
    expect((await guess(rig, KEEPER.name, KEEPER.pin, here)).status).toBe(429);
    expect((await guess(rig, KEEPER.name, KEEPER.pin, device)).status).toBe(200);
  });

  it('counts for nobody else, and opens nothing without the PIN', async () => {
    const rig = await proxied();
    const here = from('192.0.2.9');
    const { cookie } = await signedIn(rig, here);
    const device = { cookie: cookie.split('; ').find((one) => one.startsWith('dewbeat_device')) };
    expect((await rig.get('/api/today', { ...here, cookie: device.cookie ?? '' })).status).toBe(
      401,
    );
    for (let at = 0; at < 3; at++) await guess(rig, WATCHER.name, WRONG, here);
    const said = await guess(rig, WATCHER.name, WATCHER.pin, { ...here, ...device });
    expect(said.status).toBe(429);
  });

  it('is known by a cookie that only a sign-in sends, and that no script reads', async () => {
    const rig = await pageRig(withPage({ https: true }));
    const said = await guess(rig, KEEPER.name, KEEPER.pin);
    const cookie = [said.headers['set-cookie']]
      .flat()
      .find((one) => String(one).includes('device'));
    expect(cookie).toMatch(/^dewbeat_device=[\w-]{43}; Max-Age=34560000; Path=\/api\/sign-in;/);
    expect(cookie).toContain('HttpOnly');
    expect(cookie).toContain('SameSite=Strict');
    expect(cookie).toContain('Secure');
    const wrong = await guess(rig, KEEPER.name);
    expect(wrong.headers['set-cookie']).toBeUndefined();
  });

  it('is not known by a token of its own making', async () => {
    const rig = await proxied();
    const here = from('192.0.2.9');
    const made = { ...here, cookie: `dewbeat_device=${'a'.repeat(43)}` };
    const first = await guess(rig, KEEPER.name, KEEPER.pin, made);
    expect(cookiesOf(first).cookie).not.toContain('a'.repeat(43));
    for (let at = 0; at < 3; at++) await guess(rig, KEEPER.name, WRONG, made);
    expect((await guess(rig, KEEPER.name, KEEPER.pin, made)).status).toBe(429);
  });
});

describe('a hold by one who has not signed in', () => {
  const heldBy = async (rig: PageRig) => {
    const { cookie } = cookiesOf(await guess(rig, KEEPER.name, KEEPER.pin));
    return (await rig.get('/api/log', { cookie })).text;
  };

  it('is taken and put down to their address', async () => {
    const rig = await pageRig(withPage({}));
    const said = await rig.post('/api/hold', { beds: 'all' });
    expect(said.status).toBe(200);
    expect(said.body.line).toContain('Water stopped: everything.');
    expect(await heldBy(rig)).toContain('water stopped by someone at 127.0.0.1');
    expect((await rig.get('/api/me')).body).toMatchObject({ stopByAnyone: true, name: null });
  });

  it.each([
    [KEEPER.name, 'water stopped by A. Keeper (not signed in, 192.0.2.7)'],
    ['C. \u202eMower\u0007', 'water stopped by C. Mower (not signed in, 192.0.2.7)'],
    ['\u200e', 'water stopped by someone at 192.0.2.7'],
  ])('under the name %j never stands as one of a person who has', async (who, line) => {
    const rig = await proxied();
    await rig.post('/api/hold', { beds: 'all', who }, from('192.0.2.7'));
    expect(await heldBy(rig)).toContain(line);
  });

  it('lets them do nothing else', async () => {
    const rig = await pageRig(withPage({}));
    for (const [path, body] of [
      ['/api/confirm', { revision: 1, digest: '0123456789', who: 'C', cautions: [] }],
      ['/api/change', { change: { kind: 'replan' }, who: 'C' }],
      ['/api/preview', { change: { kind: 'replan' } }],
      ['/api/look', { who: 'C' }],
      ['/api/setup/check', { answers: {} }],
    ] as const) {
      expect((await rig.post(path, body)).status, path).not.toBe(200);
      expect((await rig.get('/api/today')).status).toBe(401);
    }
  });

  it('is refused where the config says so', async () => {
    const rig = await pageRig(withPage({ stop_by_anyone: false }));
    expect(codeOf(await rig.post('/api/hold', { beds: 'all' }))).toEqual([401, 'sign_in']);
    expect((await rig.get('/api/me')).body).toMatchObject({ stopByAnyone: false });
  });

  it('does not come from another site', async () => {
    const rig = await pageRig(withPage({}));
    const headers = { origin: 'https://elsewhere.example.org' };
    const said = await rig.post('/api/hold', { beds: 'all' }, headers);
    expect(codeOf(said)).toEqual([403, 'foreign_request']);
  });
});

describe('a crowd of sign-ins', () => {
  const crowd = (rig: PageRig, count: number) =>
    Array.from({ length: count }, (_, at) =>
      guess(rig, `name ${at}`, WRONG, from(`192.0.2.${at + 1}`)),
    );

  it('is looked at one by one, and those who find no room are told so at once', async () => {
    const rig = await proxied();
    looked.begun = 0;
    looked.most = 0;
    const said = await Promise.all([
      ...crowd(rig, 60),
      ...Array.from({ length: 5 }, () => guess(rig, KEEPER.name, WRONG, from('198.51.100.1'))),
    ]);
    expect(looked.most).toBe(1);
    expect(looked.begun).toBe(25);
    const full = said.filter(({ status }) => status === 429);
    expect(full).toHaveLength(40);
    expect(full[0]?.body).toMatchObject({ code: 'too_many_attempts', retryAfterS: 1 });
    // Nobody looked at these PINs: they count for nothing.
    expect((await guess(rig, 'name 59', WRONG, from('192.0.2.60'))).status).toBe(401);
    const right = await guess(rig, KEEPER.name, KEEPER.pin, from('198.51.100.1'));
    expect(right.status).toBe(200);
  });

  it('lets a known device go ahead', async () => {
    const rig = await proxied();
    const known = cookiesOf(await guess(rig, KEEPER.name, KEEPER.pin, from('198.51.100.1')));
    const ends: string[] = [];
    const all = crowd(rig, 40).map(async (one) => ends.push(String((await one).status)));
    await new Promise((done) => setImmediate(done));
    const own = guess(rig, KEEPER.name, KEEPER.pin, { ...from('198.51.100.1'), ...known });
    all.push(own.then(({ status }) => ends.push(`known ${status}`)));
    await Promise.all(all);
    const looks = ends.filter((one) => one !== '429');
    // The one that was being looked at when it came, and perhaps the next.
    expect(looks.indexOf('known 200')).toBeLessThan(3);
  });

  it('costs a name that nobody has as much as one that somebody has', async () => {
    const rig = await pageRig(withPage({}));
    looked.begun = 0;
    await guess(rig, 'C. Nobody');
    await guess(rig, KEEPER.name);
    expect(looked.begun).toBe(2);
    expect(new Set(looked.hashes).size).toBeGreaterThan(0);
    expect(looked.hashes.every((hash) => people.some(({ pin }) => pin === hash))).toBe(true);
  });

  it('leaves the threads for slow work to the others', { timeout: 30_000 }, async () => {
    const costly = await pinHash(KEEPER.pin);
    const rig = await pageRig(
      withPage({
        proxies: ['127.0.0.1'],
        people: [{ name: KEEPER.name, pin: costly, role: 'keeper', language: 'en' }],
      }),
    );
    const all = Promise.all(crowd(rig, 20));
    let done = false;
    void all.then(() => {
      done = true;
    });
    const tookMs: number[] = [];
    while (!done) {
      const begun = performance.now();
      await stat('/');
      tookMs.push(performance.now() - begun);
      await new Promise((next) => setTimeout(next, 5));
    }
    expect((await all).every(({ status }) => status === 401)).toBe(true);
    // In a full pool each would wait for a PIN or more, a tenth of a second and over.
    const medianMs = tookMs.sort((a, b) => a - b)[Math.floor(tookMs.length / 2)];
    expect(medianMs).toBeLessThan(50);
  });
});
