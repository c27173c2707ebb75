import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it, vi } from 'vitest';
import { runCli } from '../../../daemon/faces/commands/cli.ts';
import { lastAuditEntries } from '../../../daemon/site/store/audit-log.ts';
import { openDatabase } from '../../../daemon/site/store/database.ts';
import { scratchFolder } from '../../scratch-site.ts';

const EXAMPLE = new URL('../../../config-examples/minimal.yaml', import.meta.url);

vi.mock(import('../../../daemon/service/service.ts'), async (original) => {
  const real = await original();
  return {
    ...real,
    // As when a config is written at the page while the outputs are still being opened.
    async startService(config, parts) {
      parts.askReload?.();
      return real.startService(config, parts);
    },
  };
});

it('reads the config again although that was asked before the daemon had started', async () => {
  const cwd = scratchFolder();
  const text = readFileSync(EXAMPLE, 'utf8').replace(/^data_folder: .*/m, 'data_folder: memory');
  writeFileSync(join(cwd, 'dewbeat.yaml'), `${text}\npage: { port: 0 }\n`);
  const isReloaded = (): boolean => {
    const db = openDatabase(join(cwd, 'memory'));
    const kinds = lastAuditEntries(db, 50).map((step) => step.kind);
    db.close();
    return kinds.includes('reloaded');
  };
  const ended = runCli(['run', '--log-level', 'silent'], {
    out: () => undefined,
    err: () => undefined,
    nowMs: () => Date.parse('2026-07-01T09:10:00Z'),
    cwd,
    interactive: false,
    ask: async () => '',
    onStop: (stop) => {
      void vi.waitUntil(isReloaded, { timeout: 20_000, interval: 100 }).then(stop, stop);
    },
    onReload: () => undefined,
  });
  expect(await ended).toBe(0);
  expect(isReloaded()).toBe(true);
});
