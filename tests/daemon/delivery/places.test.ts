import { chmodSync, mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, describe, expect, it, vi } from 'vitest';
import type { Answer, Found, Output, Wanted } from '../../../adapters/contract.ts';
import {
  baseFolderOf,
  emptyPlace,
  keepSite,
  keptSiteOf,
  type LeftPlace,
  leftPlaces,
  placesOf,
  readKeptSite,
  rememberPlaces,
  SITE_FILE,
} from '../../../daemon/delivery/earlier-configs.ts';
import type { LoadedConfig } from '../../../daemon/site/config/config.ts';
import { lastAuditEntries } from '../../../daemon/site/store/audit-log.ts';
import { openPlaces } from '../../../daemon/site/store/outbox.ts';
import { siteClock } from '../../../daemon/site/time/site-clock.ts';
import { EXAMPLE_MADE_AT_MS, EXAMPLE_ZONE } from '../../example-plan.ts';
import { scratchDatabase, scratchFolder } from '../../scratch-site.ts';

afterEach(() => vi.useRealTimers());

const NOW_MS = EXAMPLE_MADE_AT_MS;
const DAY_MS = 86_400_000;
const file = (folder: string, name = 'file') => ({ output: 'file', name, folder });
const radio = { output: 'mqtt', name: 'radio', url: 'mqtt://h:1', prefix: 'p', mode: 'plan' };

/** A config of which only what concerns outputs is there. */
function configOf(outputs: object[], change: object = {}): LoadedConfig {
  return {
    site: {
      id: 'example-site',
      name: 'Example Site (invented)',
      beds: [{ id: 'bed-1' }, { id: 'bed-2' }],
      limits: { stationsAtOnce: 4 },
    },
    zone: EXAMPLE_ZONE,
    clock: siteClock(EXAMPLE_ZONE),
    units: 'metric',
    outputs,
    baseFolder: '/srv/site',
    sources: ['/srv/site/dewbeat.yaml'],
    ...change,
  } as unknown as LoadedConfig;
}

describe('the places of outputs', () => {
  it('are named by what each writes to', () => {
    expect([...placesOf(configOf([file('out'), radio]))]).toEqual([
      ['file', 'file /srv/site/out'],
      ['radio', 'mqtt mqtt://h:1 p/example-site plan'],
    ]);
  });

  it('are left once no output writes there, and looked after by whichever does', () => {
    const db = scratchDatabase();
    const before = configOf([file('out'), radio]);
    rememberPlaces(db, before, NOW_MS);
    expect(leftPlaces(db, before)).toEqual([]);
    const after = configOf([file('new'), file('out', 'other')]);
    rememberPlaces(db, after, NOW_MS);
    const left = leftPlaces(db, after);
    expect(left).toMatchObject([{ output: 'radio', made: radio }]);
    expect(left.map(baseFolderOf)).toEqual(['/srv/site']);
    expect(leftPlaces(db, configOf([file('new')])).map(({ place }) => place)).toEqual([
      'file /srv/site/out',
      'mqtt mqtt://h:1 p/example-site plan',
    ]);
  });

  it('are one place where several configs have named it, made as it was last', () => {
    const db = scratchDatabase();
    rememberPlaces(db, configOf([file('out')]), NOW_MS);
    rememberPlaces(db, configOf([file('out', 'second')]), NOW_MS);
    expect(leftPlaces(db, configOf([]))).toMatchObject([{ made: file('out', 'second') }]);
  });

  it('have no config where it cannot be read any more', () => {
    const db = scratchDatabase();
    const write = (place: string, config: string) =>
      db
        .prepare('INSERT INTO output_place (at_ms, output, place, config) VALUES (1, ?, ?, ?)')
        .run('old', place, config);
    write('pigeon loft', '{"output":');
    write('pigeon roof', '{"output":{"output":"pigeon"}}');
    const [loft, roof] = leftPlaces(db, configOf([]));
    expect(loft).toMatchObject({ place: 'pigeon loft', made: null });
    expect(roof).toMatchObject({ place: 'pigeon roof', made: { output: 'pigeon' } });
    expect(roof === undefined ? null : baseFolderOf(roof)).toBe('.');
  });
});

describe('emptyPlace', () => {
  function scene(answer: () => Promise<Answer>, found: () => Promise<Found>) {
    const db = scratchDatabase();
    const config = configOf([file('new')]);
    rememberPlaces(db, configOf([file('out')]), NOW_MS);
    rememberPlaces(db, configOf([file('out', 'second'), file('new')]), NOW_MS);
    const [place] = leftPlaces(db, config);
    if (place === undefined) throw new Error('no place is left');
    const asked: unknown[] = [];
    const output = {
      withdraw: (orderId: string, withdrawal: unknown) => {
        asked.push({ kind: 'withdraw', orderId, withdrawal });
        return answer();
      },
      find: (wanted: Wanted | null) => {
        asked.push(wanted);
        return found();
      },
    } as unknown as Output;
    const empty = (nowMs = NOW_MS) => emptyPlace(place, output, { db, config, nowMs });
    return { db, place, asked, empty };
  }
  const accepted = async (): Promise<Answer> => ({ kind: 'accepted', detail: 'taken' });
  const asWanted = async (): Promise<Found> => ({ kind: 'as_wanted' });
  const namesOf = (places: LeftPlace[]) => places.map(({ output }) => output);

  it('withdraws everything, looks, and leaves every place of that name', async () => {
    const { db, place, asked, empty } = scene(accepted, asWanted);
    expect(await empty()).toBeNull();
    const order = {
      kind: 'withdraw',
      orderId: `left-${place.placeId}-${Math.floor(NOW_MS / 60_000)}`,
      withdrawal: {
        siteId: 'example-site',
        siteDay: '2026-07-01',
        beds: 'all',
        who: 'dewbeat',
        why: 'second does not write here any more',
        atMs: NOW_MS - (NOW_MS % DAY_MS),
        remaining: null,
      },
    };
    expect(asked).toEqual([order, order]);
    expect(leftPlaces(db, configOf([file('new')]))).toEqual([]);
    expect(openPlaces(db).map(({ output }) => output)).toEqual(['file']);
    const left = db.prepare('SELECT at_ms AS atMs, why FROM output_place_left').all();
    expect(left).toMatchObject(Array(2).fill({ atMs: NOW_MS, why: 'emptied' }));
    expect(lastAuditEntries(db, 9)).toMatchObject([
      {
        kind: 'place_left',
        atMs: NOW_MS,
        who: 'dewbeat',
        what: 'second does not write to file /srv/site/out any more: emptied',
      },
    ]);
  });

  it('takes a place where nothing stands for empty', async () => {
    const { empty } = scene(accepted, async () => ({ kind: 'nothing', detail: 'none' }));
    expect(await empty()).toBeNull();
  });

  it('asks the same order all day, so that it is known when it stands there', async () => {
    const { asked, empty } = scene(async () => ({ kind: 'unknown', detail: 'away' }), asWanted);
    await empty(DAY_MS * 20_000);
    await empty(DAY_MS * 20_001 - 1);
    await empty(DAY_MS * 20_001);
    const instants = asked.map((one) => (one as { withdrawal: { atMs: number } }).withdrawal.atMs);
    expect(instants).toEqual([DAY_MS * 20_000, DAY_MS * 20_000, DAY_MS * 20_001]);
  });

  it.each<[string, () => Promise<Answer>, () => Promise<Found>, string]>([
    ['a refusal', async () => ({ kind: 'rejected', detail: 'no right' }), asWanted, 'no right'],
    ['an unknown answer', async () => ({ kind: 'unknown', detail: 'away' }), asWanted, 'away'],
    [
      'what stands there all the same',
      accepted,
      async () => ({ kind: 'other', detail: 'order x', order: null }),
      'order x',
    ],
    ['what cannot be seen', accepted, async () => ({ kind: 'unseen', detail: 'blind' }), 'blind'],
  ])('leaves nothing after %s', async (_, answer, found, why) => {
    const { db, empty } = scene(answer, found);
    expect(await empty()).toBe(why);
    expect(namesOf(leftPlaces(db, configOf([file('new')])))).toEqual(['second']);
    expect(lastAuditEntries(db, 9)).toEqual([]);
  });

  it.each<[string, () => Promise<Answer>, () => Promise<Found>, string]>([
    ['answers', () => new Promise(() => undefined), asWanted, 'no answer'],
    [
      'lets itself be looked at',
      accepted,
      () => new Promise(() => undefined),
      'it cannot be seen whether it is empty',
    ],
  ])('waits five seconds for a place that never %s', async (_, answer, found, why) => {
    const { empty } = scene(answer, found);
    vi.useFakeTimers();
    let said: string | null | undefined;
    void empty().then((why) => {
      said = why;
    });
    await vi.advanceTimersByTimeAsync(4_999);
    expect(said).toBeUndefined();
    await vi.advanceTimersByTimeAsync(1);
    expect(said).toBe(why);
  });
});

describe('the kept site', () => {
  it('is what a stop needs of a config, with the places that were left', () => {
    const db = scratchDatabase();
    rememberPlaces(db, configOf([radio], { baseFolder: '/srv/before' }), NOW_MS);
    db.prepare(
      "INSERT INTO output_place (at_ms, output, place, config) VALUES (1, 'old', 'loft', '{')",
    ).run();
    const config = configOf([file('out')]);
    const kept = keptSiteOf(config, false, db);
    expect(kept).toEqual({
      format: 'dewbeat-site',
      format_version: 1,
      site_id: 'example-site',
      site_name: 'Example Site (invented)',
      zone: EXAMPLE_ZONE,
      units: 'metric',
      stations_at_once: 4,
      bed_ids: ['bed-1', 'bed-2'],
      demo: false,
      sources: ['/srv/site/dewbeat.yaml'],
      outputs: [{ output: file('out'), base_folder: '/srv/site' }],
      left: [{ output: radio, base_folder: '/srv/before' }],
    });
    expect(keptSiteOf(config, true, null)).toEqual({ ...kept, demo: true, left: [] });
  });

  it.each([
    [Infinity, 1_000_000],
    [0, 1],
    [4, 4],
  ])('has a number for %d stations at once', (stationsAtOnce, kept) => {
    const config = configOf([]);
    const site = { ...config.site, limits: { ...config.site.limits, stationsAtOnce } };
    expect(keptSiteOf({ ...config, site }, false, null).stations_at_once).toBe(kept);
  });

  const site = () => keptSiteOf(configOf([file('out')]), false, null);

  it('comes back as it was kept, for its owner alone, and leaves no other file', () => {
    const folder = scratchFolder();
    expect(readKeptSite(folder)).toBeNull();
    keepSite(folder, site());
    expect(readKeptSite(folder)).toEqual(site());
    expect(readdirSync(folder)).toEqual([SITE_FILE]);
    expect(statSync(join(folder, SITE_FILE)).mode & 0o777).toBe(0o600);
    const text = readFileSync(join(folder, SITE_FILE), 'utf8');
    expect(text).toBe(`${JSON.stringify(site(), null, 2)}\n`);
  });

  it('is not written again while it is the same', () => {
    const folder = scratchFolder();
    const placed = () => statSync(join(folder, SITE_FILE)).ino;
    keepSite(folder, site());
    const inode = placed();
    keepSite(folder, site());
    expect(placed()).toBe(inode);
    keepSite(folder, { ...site(), zone: 'Europe/Rome' });
    expect(placed()).not.toBe(inode);
    expect(readKeptSite(folder)?.zone).toBe('Europe/Rome');
  });

  it('says what is in its way where its folder is gone', () => {
    expect(() => keepSite(join(scratchFolder(), 'gone'), site())).toThrow(/ENOENT.* open /);
  });

  it('leaves nothing behind where it cannot be put in its place', () => {
    const folder = scratchFolder();
    mkdirSync(join(folder, SITE_FILE));
    expect(() => keepSite(folder, site())).toThrow(/EISDIR|ENOTEMPTY|EEXIST/);
    expect(readdirSync(folder)).toEqual([SITE_FILE]);
    expect(readKeptSite(folder)).toBeNull();
    chmodSync(folder, 0o700);
  });

  it.each<[string, string]>([
    ['no JSON', '{'],
    ['another format', JSON.stringify({ ...site(), format: 'other' })],
    ['a later version', JSON.stringify({ ...site(), format_version: 2 })],
    ['no site', JSON.stringify({ ...site(), site_id: '' })],
    ['no zone', JSON.stringify({ ...site(), zone: '' })],
    ['other units', JSON.stringify({ ...site(), units: 'furlongs' })],
    ['no stations', JSON.stringify({ ...site(), stations_at_once: 0 })],
    ['a half station', JSON.stringify({ ...site(), stations_at_once: 1.5 })],
    ['no outputs', JSON.stringify({ ...site(), outputs: undefined })],
    ['an output that is a text', withOutput('file')],
    ['an output that is nothing', withOutput(null)],
    ['an output without its kind', withOutput({ name: 'file' })],
    ['an output without its name', withOutput({ output: 'file' })],
  ])('is none in a file with %s', (_, text) => {
    const folder = scratchFolder();
    writeFileSync(join(folder, SITE_FILE), text);
    expect(readKeptSite(folder)).toBeNull();
  });

  it('is one in a file that says more', () => {
    const folder = scratchFolder();
    writeFileSync(join(folder, SITE_FILE), JSON.stringify({ ...site(), more: 1 }));
    expect(readKeptSite(folder)).toEqual(site());
  });

  function withOutput(output: unknown): string {
    return JSON.stringify({ ...site(), outputs: [{ output, base_folder: '.' }] });
  }
});
