import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { brotliDecompressSync, gunzipSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { addAuditEntry } from '../../../../daemon/site/store/audit-log.ts';
import { openDatabase } from '../../../../daemon/site/store/database.ts';
import { scratchFolder } from '../../../scratch-site.ts';
import { pageRig } from './page-rig.ts';

describe('GET /api/events', () => {
  it('tells of a row that another process writes, and ends with the server', async () => {
    const rig = await pageRig();
    const address = await rig.app.listen({ host: '127.0.0.1', port: 0 });
    const response = await fetch(`${address}/api/events`);
    expect(response.headers.get('content-type')).toContain('text/event-stream');
    expect(response.headers.get('content-security-policy')).toContain("default-src 'none'");
    expect(response.headers.get('cache-control')).toBe('no-store');
    const reader = response.body?.getReader();
    const next = async () => new TextDecoder().decode((await reader?.read())?.value);
    const first = await next();
    expect(first).toMatch(/retry: 2000\n\nevent: changed\ndata: {"version":"[\d.]+"}\n\n/);
    const other = openDatabase(rig.config.dataFolder);
    addAuditEntry(other, {
      atMs: 1,
      kind: 'held',
      who: 'A. Keeper',
      what: 'from the command line',
    });
    other.close();
    const second = await next();
    expect(second).toMatch(/^event: changed\ndata: {"version":"[\d.]+"}\n\n$/);
    expect(first).not.toContain(second.trim());
    await rig.app.close();
    expect((await reader?.read())?.done).toBe(true);
  });
});

describe('the files of the page', () => {
  it('are sent compressed, and not sent again while they are the same', async () => {
    const assetFolder = scratchFolder();
    const script = `// invented\n${'export const dew = 1;\n'.repeat(200)}`;
    writeFileSync(join(assetFolder, 'index.html'), '<!doctype html><title>invented</title>');
    writeFileSync(join(assetFolder, 'page.js'), script);
    writeFileSync(join(assetFolder, 'secret.txt'), 'not a file of the page');
    const rig = await pageRig((config) => config, { assetFolder });
    expect((await rig.get('/')).text).toContain('<title>invented</title>');
    const raw = async (encoding: string) => {
      const { headers, rawPayload } = await rig.app.inject({
        url: '/page.js',
        headers: { host: '127.0.0.1', 'accept-encoding': encoding },
      });
      return { headers, rawPayload };
    };
    const br = await raw('gzip, deflate, br');
    expect(br.headers['content-encoding']).toBe('br');
    expect(brotliDecompressSync(br.rawPayload).toString()).toBe(script);
    const zipped = await raw('gzip, br;q=0');
    expect(gunzipSync(zipped.rawPayload).toString()).toBe(script);
    expect((await raw('')).headers['content-encoding']).toBeUndefined();
    const etag = String(br.headers.etag);
    expect(br.headers['cache-control']).toBe('no-cache');
    expect((await rig.get('/page.js', { 'if-none-match': etag })).status).toBe(304);
    for (const path of ['/secret.txt', '/..%2fsecret.txt', '/page.js%00']) {
      expect((await rig.get(path)).status, path).not.toBe(200);
    }
  });
});
