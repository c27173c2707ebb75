import { realpathSync, renameSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished } from 'vitest';
import {
  addBinding,
  type BindingConfig,
  bindStore,
  newestBinding,
  refuseOtherSite,
  serveSite,
} from '../../../../daemon/site/gate/bind-store.ts';
import { siteInUseOf, siteUsedBy } from '../../../../daemon/site/gate/site-changes.ts';
import { DATABASE_FILE, type Db, openDatabase } from '../../../../daemon/site/store/database.ts';
import { openHolds } from '../../../../daemon/site/store/holds-and-keep-offs.ts';
import { openOrders } from '../../../../daemon/site/store/outbox.ts';
import { StoreFault } from '../../../../daemon/site/store/store-faults.ts';
import { siteClock } from '../../../../daemon/site/time/site-clock.ts';
import { EXAMPLE_SITE, EXAMPLE_ZONE, examplePlan } from '../../../example-plan.ts';
import { rememberPlan, scratchFolder } from '../../../scratch-site.ts';

const NOW_MS = Date.parse('2026-07-01T09:10:00Z');

/** A config of which only what binds a store is there. */
function configIn(dataFolder: string, id = EXAMPLE_SITE.siteId): BindingConfig {
  const beds = EXAMPLE_SITE.bedIds.map((bedId) => ({ id: bedId }));
  const stations = EXAMPLE_SITE.stations.map(({ stationId, ...one }) => ({
    id: stationId,
    ...one,
  }));
  return {
    site: { id, beds, stations },
    clock: siteClock(EXAMPLE_ZONE),
    units: 'us',
    outputs: [{ name: 'file' }, { name: 'radio' }],
    dataFolder,
  } as unknown as BindingConfig;
}

function scene(): { db: Db; dataFolder: string; config: BindingConfig } {
  const dataFolder = scratchFolder();
  const db = openDatabase(dataFolder);
  onTestFinished(() => void db.close());
  return { db, dataFolder, config: configIn(dataFolder) };
}

describe('serveSite', () => {
  it('uses the store for the site of the config, and writes nothing', () => {
    const { db, config } = scene();
    expect(siteUsedBy(db)).toBeNull();
    serveSite(db, config);
    expect(siteUsedBy(db)).toEqual(EXAMPLE_SITE);
    expect(siteInUseOf(config)).toEqual(siteUsedBy(db));
    expect(newestBinding(db)).toBeNull();
  });

  it('refuses the site of another config, by the binding first, then by its plans', () => {
    const { db, dataFolder, config } = scene();
    const other = { siteId: 'heron-bank', dataFolder };
    expect(refuseOtherSite(db, other)).toBeUndefined();
    rememberPlan(db, examplePlan());
    expect(() => refuseOtherSite(db, other)).toThrow(StoreFault);
    expect(() => serveSite(db, configIn(dataFolder, 'heron-bank'))).toThrow(
      `${dataFolder}: this data folder belongs to the site example-site (got heron-bank); name a data_folder of its own for heron-bank`,
    );
    expect(siteUsedBy(db)).toBeNull();
    serveSite(db, config);
    const place = { folder: dataFolder, device: '1', inode: '1' };
    addBinding(db, { ...place, atMs: NOW_MS, siteId: 'heron-bank' });
    expect(refuseOtherSite(db, other)).toBeUndefined();
    expect(() => serveSite(db, config)).toThrow(/belongs to the site heron-bank/);
  });
});

describe('bindStore', () => {
  it('binds once, to the real folder, and stops nothing', () => {
    const { db, dataFolder, config } = scene();
    expect(bindStore(db, config, NOW_MS)).toBe(true);
    const bound = newestBinding(db);
    expect(bound).toMatchObject({
      siteId: 'example-site',
      folder: realpathSync(dataFolder),
      atMs: NOW_MS,
    });
    expect(bindStore(db, config, NOW_MS + 1)).toBe(false);
    expect(newestBinding(db)).toMatchObject({ atMs: NOW_MS, storeId: bound?.storeId });
    expect(openHolds(db)).toEqual([]);
    expect(siteUsedBy(db)).not.toBeNull();
  });

  it.each([
    ['a copy', (folder: string) => folder, 'a copy'],
    ['another folder', () => '/somewhere/else', '/somewhere/else'],
  ])('puts everything on hold once in a store out of %s', (_, folderOf, from) => {
    const { db, dataFolder, config } = scene();
    const folder = folderOf(realpathSync(dataFolder));
    addBinding(db, { folder, device: '1', inode: '1', atMs: 1, siteId: 'example-site' });
    expect(bindStore(db, config, NOW_MS)).toBe(true);
    expect(bindStore(db, config, NOW_MS + 1)).toBe(false);
    expect(openHolds(db)).toMatchObject([
      {
        who: 'dewbeat',
        beds: 'all',
        untilMs: null,
        atMs: NOW_MS,
        why: `the data folder was moved or copied from ${from}: read a fresh plan and confirm it`,
      },
    ]);
    expect(openOrders(db).map(({ output }) => output)).toEqual(['file', 'radio']);
    expect(newestBinding(db)).toMatchObject({ atMs: NOW_MS, siteId: 'example-site' });
  });

  it('leaves alone a database that is gone, which is found out elsewhere', () => {
    const { db, dataFolder, config } = scene();
    renameSync(join(dataFolder, DATABASE_FILE), join(dataFolder, 'away'));
    expect(bindStore(db, config, NOW_MS)).toBe(false);
    expect(newestBinding(db)).toBeNull();
  });
});
