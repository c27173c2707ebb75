import { cpSync, renameSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { LoadedConfig } from '../../../../daemon/site/config/config.ts';
import { openDemo } from '../../../../daemon/site/config/demo.ts';
import {
  bindStore,
  isCopy,
  newestBinding,
  serveSite,
} from '../../../../daemon/site/gate/bind-store.ts';
import { openDatabase } from '../../../../daemon/site/store/database.ts';
import { openHolds } from '../../../../daemon/site/store/holds-and-keep-offs.ts';
import { openOrders } from '../../../../daemon/site/store/outbox.ts';
import { examplePlan } from '../../../example-plan.ts';
import { rememberPlan, scratchFolder } from '../../../scratch-site.ts';

const NOW_MS = Date.parse('2026-07-01T09:10:00Z');
const here = { folder: '/a', device: '1', inode: '7' };

describe('isCopy', () => {
  it.each<[string, Partial<typeof here>, boolean]>([
    ['the same file', {}, false],
    ['another file at the same path', { inode: '8' }, true],
    ['a folder that was renamed', { folder: '/b' }, false],
    ['a machine that was started again', { device: '2' }, false],
    ['another disk', { folder: '/b', device: '2' }, true],
    ['a copy beside it', { folder: '/b', inode: '8' }, true],
  ])('%s', (_, change, isIt) => {
    expect(isCopy(here, { ...here, ...change })).toBe(isIt);
  });
});

function demoIn(cwd: string): LoadedConfig {
  const read = openDemo(cwd, NOW_MS);
  if (!read.ok) throw new Error('the demo is not sound');
  return read.config;
}

/** Opens the folder's store, does the work, and closes it. */
function within<T>(config: LoadedConfig, work: (db: ReturnType<typeof openDatabase>) => T): T {
  const db = openDatabase(config.dataFolder);
  try {
    return work(db);
  } finally {
    db.close();
  }
}

describe('bindStore', () => {
  it('binds a store once, and stops nothing by it', () => {
    const config = demoIn(scratchFolder());
    within(config, (db) => bindStore(db, config, NOW_MS));
    within(config, (db) => {
      const bound = newestBinding(db);
      expect(bound).toMatchObject({ siteId: config.site.id, folder: config.dataFolder });
      bindStore(db, config, NOW_MS + 1);
      expect(newestBinding(db)?.storeId).toBe(bound?.storeId);
      expect(openHolds(db)).toEqual([]);
    });
  });

  it('puts everything on hold in a copy, once, and gives it an id of its own', () => {
    const cwd = scratchFolder();
    const config = demoIn(cwd);
    within(config, (db) => bindStore(db, config, NOW_MS));
    const other = scratchFolder();
    cpSync(join(cwd, 'dewbeat-data'), join(other, 'dewbeat-data'), { recursive: true });
    const copy = demoIn(other);
    const first = within(config, newestBinding);
    within(copy, (db) => {
      serveSite(db, copy);
      expect(openHolds(db), 'looking leaves no trace').toEqual([]);
      bindStore(db, copy, NOW_MS);
      bindStore(db, copy, NOW_MS + 1);
      expect(openHolds(db)).toMatchObject([
        {
          who: 'dewbeat',
          beds: 'all',
          why: `the data folder was moved or copied from ${config.dataFolder}: read a fresh plan and confirm it`,
        },
      ]);
      expect(openOrders(db)).toMatchObject([{ kind: 'withdraw' }]);
      expect(newestBinding(db)?.storeId).not.toBe(first?.storeId);
    });
    within(config, (db) => {
      bindStore(db, config, NOW_MS);
      expect(openHolds(db), 'the original goes on').toEqual([]);
    });
  });

  it('lets a folder be renamed', () => {
    const cwd = scratchFolder();
    const config = demoIn(cwd);
    within(config, (db) => bindStore(db, config, NOW_MS));
    const dataFolder = join(cwd, 'elsewhere');
    renameSync(config.dataFolder, dataFolder);
    const renamed = { ...config, dataFolder };
    within(renamed, (db) => {
      bindStore(db, renamed, NOW_MS);
      expect(openHolds(db)).toEqual([]);
    });
  });

  it('gives the store to no other site, bound or of before stores were', () => {
    const config = demoIn(scratchFolder());
    const foreign = { ...config, site: { ...config.site, id: 'heron-bank' } };
    within(config, (db) => {
      bindStore(db, config, NOW_MS);
      expect(() => bindStore(db, foreign, NOW_MS)).toThrow(
        `${config.dataFolder}: this data folder belongs to the site ${config.site.id} (got heron-bank); name a data_folder of its own for heron-bank`,
      );
    });
    const unbound = demoIn(scratchFolder());
    within(unbound, (db) => {
      rememberPlan(db, examplePlan());
      expect(() => serveSite(db, unbound)).toThrow(/belongs to the site example-site/);
    });
  });
});
