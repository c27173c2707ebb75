import { readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'libsql';
import { describe, expect, it, onTestFinished } from 'vitest';
import { CAUTIONS } from '../../../daemon/site/gate/valid-confirm.ts';
import { DATABASE_FILE } from '../../../daemon/site/store/database.ts';
import { readDaemonStatus } from '../../../daemon/site/store/running-daemon.ts';
import { fetchAlone } from '../../own-connection.ts';
import { scratchFolder } from '../../scratch-site.ts';
import { dewbeat } from '../command-line.ts';
import { startBuilt } from './built-program.ts';

const EXAMPLE = new URL('../../../config-examples/minimal.yaml', import.meta.url);
/** A need has to name its cause in ten seconds; a busy machine gets a few more to answer. */
const TOLD_MS = 10_000 + 3_000;

/** The built program on an invented site, its page, and the folder of its memory. */
async function running() {
  const cwd = scratchFolder();
  const text = readFileSync(EXAMPLE, 'utf8').replace(/^data_folder:.*$/m, 'data_folder: memory');
  writeFileSync(join(cwd, 'dewbeat.yaml'), `${text}\npage: { port: 0 }\n`);
  const daemon = startBuilt(['run'], { cwd });
  await daemon.saying(/serving reed-hollow, http:\S+?:\d+/);
  const [, url = ''] = /serving reed-hollow, (http:\/\/[\d.:]+)/.exec(daemon.said()) ?? [];
  const memory = join(cwd, 'memory');
  await expect.poll(() => readDaemonStatus(memory), { timeout: 10_000 }).not.toBeNull();
  const reasons = async () => {
    const response = await fetchAlone(`${url}/ready`);
    const { reasons: found } = (await response.json()) as { reasons: { code: string }[] };
    return found.map(({ code }) => code);
  };
  const post = async (path: string, body: unknown) => {
    const headers = { 'content-type': 'application/json', 'x-dewbeat': '1' };
    const sent = { method: 'POST', headers, body: JSON.stringify(body) };
    const response = await fetchAlone(url + path, sent);
    return { status: response.status, body: (await response.json()) as { code?: string } };
  };
  const say = (...args: string[]) => dewbeat(args, { cwd, nowMs: Date.now() });
  return { daemon, url, memory, reasons, post, say };
}

const ANY_CONFIRM = {
  revision: 1,
  digest: '0'.repeat(64),
  who: 'A. Keeper',
  cautions: CAUTIONS.map(({ code }) => code),
};

describe('a daemon whose store is meddled with', () => {
  it('says within ten seconds that its lock and its database are gone, and takes no confirm', async () => {
    const { daemon, memory, reasons, post, say } = await running();
    expect(await reasons()).toEqual([]);
    rmSync(join(memory, 'instance.lock'));
    await expect.poll(reasons, { timeout: TOLD_MS }).toEqual(['lock_gone']);
    const status = await say('status');
    expect(status.code).toBe(1);
    expect(status.out).toMatch(/lock_gone: .*instance\.lock: was deleted while it is open/);
    expect(await post('/api/confirm', ANY_CONFIRM)).toMatchObject({
      status: 503,
      body: { code: 'store_refuses', message: expect.stringContaining('was deleted') },
    });
    rmSync(join(memory, DATABASE_FILE));
    await expect.poll(reasons, { timeout: TOLD_MS }).toEqual(['database_gone', 'lock_gone']);
    expect(readDaemonStatus(memory)?.database_gone).toContain('dewbeat.sqlite: was deleted');
    expect((await say('status')).err).toContain('is gone, though a daemon has kept its memory');
    expect(await post('/api/hold', { beds: 'all', who: 'B. Mower' })).toMatchObject({
      status: 503,
      body: { code: 'hold_unwritten', message: expect.stringContaining('the water is stopped') },
    });
    daemon.signal('SIGTERM');
    await daemon.ended();
  }, 60_000);

  it('answers while another process holds the database, and names it', async () => {
    const { daemon, url, memory, reasons, post, say } = await running();
    const holder = new Database(join(memory, DATABASE_FILE));
    onTestFinished(() => void holder.close());
    holder.pragma('busy_timeout = 5000');
    holder.exec('BEGIN IMMEDIATE');
    let slowestMs = 0;
    const watch = async () => {
      const askedMs = performance.now();
      expect((await fetchAlone(`${url}/health`)).status).toBe(200);
      slowestMs = Math.max(slowestMs, performance.now() - askedMs);
      return reasons();
    };
    await expect.poll(watch, { timeout: TOLD_MS, interval: 100 }).toEqual(['database_fault']);
    expect((await say('status')).out).toContain('another process holds the database');
    const askedMs = performance.now();
    expect(await post('/api/confirm', ANY_CONFIRM)).toMatchObject({
      status: 503,
      body: { code: 'store_refuses', message: expect.stringContaining('try again in a moment') },
    });
    expect(performance.now() - askedMs).toBeLessThan(2_000);
    // A try takes a quarter of a second; two may come one after the other.
    expect(slowestMs).toBeLessThan(1_000);
    holder.exec('ROLLBACK');
    await expect.poll(reasons, { timeout: TOLD_MS }).toEqual([]);
    daemon.signal('SIGTERM');
    await daemon.ended();
  }, 60_000);
});
