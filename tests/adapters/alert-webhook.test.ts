import { execFileSync } from 'node:child_process';
import { createHmac } from 'node:crypto';
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { postAlert, type WebhookConfig } from '../../adapters/alert-webhook.ts';
import type { Alert } from '../../adapters/contract.ts';
import { scratchFolder } from '../scratch-site.ts';

const NEWS: Alert = {
  newsId: 'example-site-7',
  kind: 'plan_held',
  siteId: 'example-site',
  siteDay: '2026-07-01',
  atMs: Date.parse('2026-07-01T12:00:00Z'),
  text: 'Revision 2 waits for a person (invented).',
  revision: 2,
  digest: 'abcd',
};
const given = {
  isoOf: (ms: number) => new Date(ms).toISOString(),
  baseFolder: '/nowhere',
  env: { NEWS_SECRET: 'an invented secret' },
};

const servers: Server[] = [];
afterEach(() => {
  for (const server of servers.splice(0)) {
    server.closeAllConnections();
    server.close();
  }
});

/** A listener on loopback that answers with a status, or never. */
async function listener(status: number | null, location = '/elsewhere') {
  const heard: { body: string; signature: string | undefined }[] = [];
  const server = createServer((request, response) => {
    let body = '';
    request.on('data', (part) => {
      body += part;
    });
    request.on('end', () => {
      heard.push({ body, signature: request.headers['x-dewbeat-signature'] as string });
      if (status !== null) response.writeHead(status, { location }).end('x');
    });
  });
  servers.push(server);
  await new Promise<void>((done) => server.listen(0, '127.0.0.1', done));
  const { port } = server.address() as AddressInfo;
  const config: WebhookConfig = {
    url: `http://127.0.0.1:${port}/hook`,
    secretEnv: 'NEWS_SECRET',
    secretFile: null,
    timeoutS: status === null ? 0.3 : 5,
  };
  return { config, heard };
}

describe('postNews', () => {
  it('posts JSON, signed over the very bytes of the body', async () => {
    const { config, heard } = await listener(204);
    expect((await postAlert(config, NEWS, given)).kind).toBe('accepted');
    const [one] = heard;
    const hmac = createHmac('sha256', 'an invented secret')
      .update(one?.body ?? '')
      .digest('hex');
    expect(one?.signature).toBe(`sha256=${hmac}`);
    expect(JSON.parse(one?.body ?? '')).toEqual({
      format: 'dewbeat-news',
      format_version: 1,
      news_id: 'example-site-7',
      kind: 'plan_held',
      site_id: 'example-site',
      site_day: '2026-07-01',
      at: '2026-07-01T12:00:00.000Z',
      text: 'Revision 2 waits for a person (invented).',
      revision: 2,
      digest: 'abcd',
    });
  });

  it.each([
    [200, 'accepted'],
    [302, 'unknown'],
    [400, 'rejected'],
    [404, 'rejected'],
    [429, 'unknown'],
    [503, 'unknown'],
    [null, 'unknown'],
  ] as const)('takes status %s as %s', async (status, kind) => {
    const { config, heard } = await listener(status);
    expect((await postAlert(config, NEWS, given)).kind).toBe(kind);
    expect(heard).toHaveLength(1);
  });

  it('sends nothing without the secret that was asked for, and does not show it', async () => {
    const { config, heard } = await listener(204);
    const answer = await postAlert(config, NEWS, { ...given, env: {} });
    expect(answer).toEqual({ kind: 'unknown', detail: 'secret_env: NEWS_SECRET is not set' });
    expect(heard).toEqual([]);
  });

  it('goes to nobody else, wherever its listener sends it', async () => {
    const other = await listener(204);
    const first = await listener(307, other.config.url);
    expect((await postAlert(first.config, NEWS, given)).kind).toBe('unknown');
    expect(other.heard).toEqual([]);
  });

  it('does not wait for a secret behind a pipe', async () => {
    const { config, heard } = await listener(204);
    const folder = scratchFolder();
    execFileSync('mkfifo', [join(folder, 'secret')]);
    const asked = { ...config, secretEnv: null, secretFile: 'secret' };
    const answer = await postAlert(asked, NEWS, { ...given, baseFolder: folder });
    expect(answer).toMatchObject({
      kind: 'unknown',
      detail: expect.stringContaining('secret_file'),
    });
    expect(heard).toEqual([]);
  });
});
