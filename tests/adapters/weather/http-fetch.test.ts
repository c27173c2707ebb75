import { describe, expect, it } from 'vitest';
import { askHttp } from '../../../adapters/weather/http-fetch.ts';
import { jsonServer } from './json-server.ts';

const ask = (url: string, change: object = {}) =>
  askHttp({
    url,
    timeoutS: 2,
    mostBytes: 1_000,
    tags: { etag: null, lastModified: null },
    stop: new AbortController().signal,
    ...change,
  });

describe('a redirect', () => {
  it('is followed on the same host and port', async () => {
    const server = await jsonServer();
    server.answer((response) => {
      const moved = server.asked.length === 1;
      if (moved) response.writeHead(302, { location: '/other.json' });
      response.end(moved ? '' : '{"a":1}');
    });
    expect(await ask(server.url)).toMatchObject({ kind: 'fresh', text: '{"a":1}' });
    expect(server.asked.map(({ url }) => url)).toEqual(['/hourly.json', '/other.json']);
  });

  it.each([301, 302, 303, 307, 308])(
    'of status %i is not followed to another host',
    async (status) => {
      const [from, to] = [await jsonServer(), await jsonServer()];
      from.answer((response) => response.writeHead(status, { location: to.url }).end());
      expect(await ask(from.url)).toMatchObject({
        kind: 'fault',
        what: `it sends to another host (got ${new URL(to.url).origin}); if that is right, set url to it`,
      });
      expect(to.asked).toEqual([]);
    },
  );

  it.each([
    ['a name of the same machine', 'http://localhost:1/'],
    ['a weaker scheme', 'ftp://127.0.0.1/'],
    ['a file', 'file:///etc/hostname'],
  ])('is not followed to %s', async (_, location) => {
    const server = await jsonServer();
    server.answer((response) => response.writeHead(302, { location }).end());
    expect(await ask(server.url)).toMatchObject({ kind: 'fault' });
    expect(server.asked).toHaveLength(1);
  });

  it('in a circle ends, and so does one without a place', async () => {
    const server = await jsonServer();
    server.answer((response) => response.writeHead(302, { location: server.url }).end());
    expect(await ask(server.url)).toMatchObject({ what: expect.stringContaining('more than 3') });
    expect(server.asked).toHaveLength(4);
    server.answer((response) => response.writeHead(302).end());
    expect(await ask(server.url)).toMatchObject({ what: expect.stringContaining('no location') });
  });
});

it('has one deadline for all of an answer that comes drop by drop', async () => {
  const server = await jsonServer();
  server.answer((response) => {
    const drops = setInterval(() => response.write(' '), 50);
    response.on('close', () => clearInterval(drops));
  });
  const beganMs = performance.now();
  expect(await ask(server.url, { timeoutS: 0.5 })).toMatchObject({
    what: 'it does not answer within 0.5 s',
  });
  expect(performance.now() - beganMs).toBeLessThan(2_000);
});

it('takes no more of a body than may be', async () => {
  const server = await jsonServer();
  server.answer((response) => {
    const flood = setInterval(() => response.write(' '.repeat(600)), 5);
    response.on('close', () => clearInterval(flood));
  });
  expect(await ask(server.url)).toMatchObject({ what: 'its answer is longer than 1000 bytes' });
});
