import { beforeAll, describe, expect, it } from 'vitest';
import type { LoadedConfig } from '../../../../daemon/site/config/config.ts';
import { pinHash } from '../../../../daemon/site/config/pin-hash.ts';
import { type Answered, HOST, type PageRig, pageRig } from './page-rig.ts';

/** Invented people with invented PINs. */
const KEEPER = { name: 'A. Keeper', pin: '271828' };
const WATCHER = { name: 'B. Watcher', pin: '314159' };
/** A thirtieth of the real cost, so that the tests are quick. */
const CHEAP = { N: 1024, r: 8, p: 1 };
const HOUR_MS = 3_600_000;

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

async function signedIn(rig: PageRig, person: typeof KEEPER): Promise<Record<string, string>> {
  const said = await rig.post('/api/sign-in', person);
  expect(said.status).toBe(200);
  return { cookie: String(said.headers['set-cookie']).split(';')[0] ?? '' };
}

const codeOf = ({ status, body }: Answered) => [status, body.code];

describe('hosts', () => {
  it.each([
    ['127.0.0.1:8780', 200],
    ['localhost:8780', 200],
    ['[::1]:8780', 200],
    ['greens.example.org', 403],
    ['127.0.0.1.example.org', 403],
    ['192.0.2.7:8780', 403],
    ['green-1 :8780', 403],
  ])('on loopback %j is answered with %i', async (host, status) => {
    expect((await (await pageRig()).get('/health', { host })).status).toBe(status);
  });

  it.each([
    ['greens.example.org', 200],
    ['192.0.2.7:8780', 200],
    ['elsewhere.example.org', 403],
  ])('beyond it %j is answered with %i', async (host, status) => {
    const rig = await pageRig(withPage({ address: '0.0.0.0', hosts: ['greens.example.org'] }));
    expect((await rig.get('/health', { host })).status).toBe(status);
  });
});

describe('requests that a proxy has passed on', () => {
  const PASSED_ON = [
    ['x-forwarded-for', '192.0.2.1'],
    ['x-forwarded-host', '127.0.0.1:8780'],
    ['x-forwarded-proto', 'https'],
    ['forwarded', 'for=192.0.2.1'],
  ] as const;

  it.each(PASSED_ON)('are refused by %s while no proxy is named', async (header, value) => {
    const rig = await pageRig();
    const headers = { [header]: value };
    for (const path of ['/', '/api/today', '/health', '/metrics']) {
      expect(codeOf(await rig.get(path, headers)), path).toEqual([403, 'unknown_proxy']);
    }
    const said = await rig.post('/api/hold', { beds: 'all' }, headers);
    expect(codeOf(said)).toEqual([403, 'unknown_proxy']);
    expect(said.body.message).toContain(`(got the header ${header}); add the proxy's address`);
  });

  it.each(PASSED_ON)('are taken with %s from a proxy that is named', async (header, value) => {
    const rig = await pageRig(withPage({ proxies: ['127.0.0.1'] }));
    expect((await rig.get('/health', { [header]: value })).status).toBe(200);
  });
});

describe('actions', () => {
  it.each([
    ['of another origin', { origin: 'https://elsewhere.example.org' }],
    ['of another port of this machine', { origin: 'http://127.0.0.1:9999' }],
    ['of an opaque origin', { origin: 'null' }],
    ['that the browser calls cross-site', { 'sec-fetch-site': 'cross-site' }],
    ['that the browser calls same-site', { 'sec-fetch-site': 'same-site' }],
  ])('%s are refused, a hold too', async (_, headers) => {
    const rig = await pageRig();
    const said = await rig.post('/api/hold', { beds: 'all' }, headers);
    expect(codeOf(said)).toEqual([403, 'foreign_request']);
  });

  it('without the header that no form can send are refused', async () => {
    const rig = await pageRig();
    const { statusCode } = await rig.app.inject({
      method: 'POST',
      url: '/api/hold',
      headers: { host: HOST, origin: `http://${HOST}`, 'content-type': 'text/plain' },
      payload: '{"beds":"all"}',
    });
    expect(statusCode).toBe(403);
  });

  it('are taken through the proxy that is named, by the name that the browser sees', async () => {
    const rig = await pageRig(
      withPage({ hosts: ['greens.example.org'], proxies: ['127.0.0.1'], https: true }),
    );
    const headers = {
      'x-forwarded-host': 'greens.example.org',
      origin: 'https://greens.example.org',
    };
    expect((await rig.post('/api/sign-in', KEEPER, headers)).status).toBe(200);
    const elsewhere = { ...headers, origin: 'https://elsewhere.example.org' };
    expect((await rig.post('/api/sign-in', KEEPER, elsewhere)).status).toBe(403);
  });

  it('larger than any change are refused', async () => {
    const rig = await pageRig();
    const said = await rig.post('/api/hold', { beds: 'all', why: 'x'.repeat(200_000) });
    expect(said.status).toBe(413);
  });
});

describe('headers', () => {
  it('let no foreign code run, no frame stand around it, nothing be kept', async () => {
    const { headers } = await (await pageRig()).get('/api/me');
    const policy = String(headers['content-security-policy']);
    expect(policy).toContain("default-src 'none'");
    expect(policy).toContain("script-src 'self'");
    expect(policy).toContain("worker-src 'self'");
    expect(policy).toContain("frame-ancestors 'none'");
    expect(policy).toContain("base-uri 'none'");
    expect(policy).not.toContain('unsafe');
    expect(policy).not.toContain('http');
    expect(headers['cache-control']).toBe('no-store');
    expect(headers['x-content-type-options']).toBe('nosniff');
    expect(headers['referrer-policy']).toBe('no-referrer');
    expect(headers['strict-transport-security']).toBeUndefined();
    expect(headers['access-control-allow-origin']).toBeUndefined();
  });

  it('stand on refusals too, and ask for https where a proxy speaks it', async () => {
    const rig = await pageRig(withPage({ https: true }));
    const { headers } = await rig.get('/api/today', { host: 'elsewhere.example.org' });
    expect(headers['content-security-policy']).toContain("default-src 'none'");
    expect(headers['strict-transport-security']).toContain('max-age');
  });
});

describe('people', () => {
  it.each(['/api/today', '/api/bed/green-1', '/api/beds', '/api/log', '/api/events', '/plan.json'])(
    'must sign in to read %s',
    async (path) => {
      const rig = await pageRig(withPage({}));
      expect(codeOf(await rig.get(path))).toEqual([401, 'sign_in']);
      expect(codeOf(await rig.get(path, { cookie: 'dewbeat_session=guessed' }))[0]).toBe(401);
    },
  );

  it('must sign in to do anything', async () => {
    const rig = await pageRig(withPage({ stop_by_anyone: false }));
    for (const [path, body] of [
      ['/api/hold', { beds: 'all', who: KEEPER.name }],
      ['/api/confirm', { revision: 1, digest: '0123456789', who: KEEPER.name, cautions: [] }],
      ['/api/change', { change: { kind: 'replan' }, who: KEEPER.name }],
      ['/api/preview', { change: { kind: 'replan' } }],
    ] as const) {
      expect(codeOf(await rig.post(path, body)), path).toEqual([401, 'sign_in']);
    }
  });

  it('get a cookie that no script reads and no other site sends', async () => {
    const rig = await pageRig(withPage({}));
    const cookie = String((await rig.post('/api/sign-in', KEEPER)).headers['set-cookie']);
    expect(cookie).toMatch(/^dewbeat_session=[\w-]{43};/);
    expect(cookie).toContain('HttpOnly');
    expect(cookie).toContain('SameSite=Strict');
    expect(cookie).not.toContain('Secure');
    const behind = await pageRig(withPage({ https: true }));
    expect(String((await behind.post('/api/sign-in', KEEPER)).headers['set-cookie'])).toContain(
      'Secure',
    );
  });

  it('are known by their own name, whatever a request says', async () => {
    const rig = await pageRig(withPage({}));
    const headers = await signedIn(rig, WATCHER);
    expect((await rig.get('/api/me', headers)).body).toMatchObject({ language: 'es' });
    const said = await rig.post('/api/hold', { beds: 'all', who: KEEPER.name }, headers);
    expect(said.status).toBe(200);
    const log = await rig.get('/api/log', headers);
    expect(log.text).toContain('water stopped by B. Watcher');
    expect(log.text).not.toContain('water stopped by A. Keeper');
  });

  it('who watch look and hold, and neither confirm nor change', async () => {
    const rig = await pageRig(withPage({}));
    const { digest } = await rig.plan();
    const headers = await signedIn(rig, WATCHER);
    expect((await rig.get('/api/today', headers)).status).toBe(200);
    const cautions = ['turf_clear', 'no_injector_armed', 'covers_off'];
    const confirm = { revision: 1, digest, cautions };
    expect(codeOf(await rig.post('/api/confirm', confirm, headers))).toEqual([403, 'watcher']);
    const change = { change: { kind: 'replan' } };
    expect(codeOf(await rig.post('/api/change', change, headers))).toEqual([403, 'watcher']);
    expect((await rig.post('/api/hold', { beds: 'all' }, headers)).status).toBe(200);
  });

  it('are signed out by themselves, and by time without an action', async () => {
    const rig = await pageRig(withPage({ idle: 60 }));
    const headers = await signedIn(rig, KEEPER);
    rig.clock.nowMs += 0.9 * HOUR_MS;
    expect((await rig.post('/api/hold', { beds: 'all' }, headers)).status).toBe(200);
    rig.clock.nowMs += 0.9 * HOUR_MS;
    // An open page reads again and again: that alone keeps nobody signed in.
    for (const path of ['/api/me', '/api/today', '/api/log']) {
      expect((await rig.get(path, headers)).status, path).toBe(200);
    }
    expect((await rig.get('/api/me', headers)).text).toContain('"name":"A. Keeper"');
    rig.clock.nowMs += 0.2 * HOUR_MS;
    expect((await rig.get('/api/today', headers)).status).toBe(401);

    const again = await signedIn(rig, KEEPER);
    await rig.post('/api/sign-out', {}, again);
    expect((await rig.get('/api/today', again)).status).toBe(401);
  });

  it('are not told of to others, nor are their PINs to anyone', async () => {
    const outside = await pageRig(withPage({ address: '0.0.0.0' }));
    expect((await outside.get('/api/me')).body).toMatchObject({ needsPin: true, names: [] });
    const headers = await signedIn(outside, KEEPER);
    for (const path of ['/api/me', '/api/today', '/api/log']) {
      expect((await outside.get(path, headers)).text, path).not.toContain('scrypt');
    }
  });

  it('on this machine without any named, a name is enough', async () => {
    const rig = await pageRig();
    expect((await rig.get('/api/me')).body).toMatchObject({
      needsPin: false,
      role: 'keeper',
      language: 'en',
    });
    expect(codeOf(await rig.post('/api/sign-in', KEEPER))).toEqual([404, 'no_people']);
  });
});

describe('figures for monitors', () => {
  it('are for this machine and for those who have signed in; being alive is for all', async () => {
    const rig = await pageRig(withPage({ proxies: ['127.0.0.1'] }));
    const outside = { 'x-forwarded-for': '192.0.2.1' };
    expect((await rig.get('/health', outside)).status).toBe(200);
    expect((await rig.get('/metrics', outside)).status).toBe(401);
    expect((await rig.get('/ready', outside)).status).toBe(401);
    expect((await rig.get('/ready')).status).toBe(503);
    const headers = await signedIn(rig, KEEPER);
    expect((await rig.get('/ready', { ...outside, ...headers })).status).toBe(503);
  });
});
