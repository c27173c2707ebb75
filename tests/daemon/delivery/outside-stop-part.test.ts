import { existsSync, mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished, vi } from 'vitest';
import type { ConfirmedPlan } from '../../../adapters/contract.ts';
import type { KeptSite } from '../../../daemon/delivery/earlier-configs.ts';
import { type StopTask, stopWorker } from '../../../daemon/delivery/outside-stop-part.ts';
import { outsideStop } from '../../../daemon/delivery/stop-from-outside.ts';
import { confirmPlan } from '../../../daemon/site/gate/gate.ts';
import { CAUTIONS } from '../../../daemon/site/gate/valid-confirm.ts';
import { DATABASE_FILE, openDatabase } from '../../../daemon/site/store/database.ts';
import { openHolds } from '../../../daemon/site/store/holds-and-keep-offs.ts';
import { newestOrders } from '../../../daemon/site/store/outbox.ts';
import { siteClock } from '../../../daemon/site/time/site-clock.ts';
import { FakeClient, fakeMqtt } from '../../adapters/outputs/fake-broker.ts';
import { EXAMPLE_MADE_AT_MS, EXAMPLE_SITE, EXAMPLE_ZONE, examplePlan } from '../../example-plan.ts';
import { rememberPlan, scratchFolder } from '../../scratch-site.ts';

const NOW_MS = EXAMPLE_MADE_AT_MS + 600_000;
const all = {
  beds: 'all' as const,
  who: 'B. Mower',
  why: 'leak',
  untilMs: null,
  atMs: NOW_MS,
};
const bed2 = { ...all, beds: ['bed-2'] };

/** A data folder in which a plan is in force. */
function dataFolder(): string {
  const folder = scratchFolder();
  const db = openDatabase(folder);
  const { digest } = rememberPlan(db, examplePlan({ revision: 1 }));
  const clock = siteClock(EXAMPLE_ZONE);
  const result = confirmPlan(
    { db, clock, site: EXAMPLE_SITE, outputs: ['file'], nowMs: EXAMPLE_MADE_AT_MS },
    { revision: 1, digest, who: 'A. Keeper', cautions: CAUTIONS.map(({ code }) => code) },
  );
  expect(result.ok).toBe(true);
  db.close();
  return folder;
}

function look<T>(folder: string, read: (db: ReturnType<typeof openDatabase>) => T): T {
  const db = openDatabase(folder);
  try {
    return read(db);
  } finally {
    db.close();
  }
}

function doer() {
  const part = stopWorker();
  onTestFinished(() => part.leave());
  return part;
}
const storeWork = (folder: string, change: object = {}): StopTask => ({
  part: 'store',
  stop: all,
  siteId: 'example-site',
  zone: EXAMPLE_ZONE,
  dataFolder: folder,
  outputs: ['file'],
  ...change,
});

describe('the part of the store', () => {
  it('writes the hold, and says under which order and what remains', async () => {
    const folder = dataFolder();
    const said = await doer().do(storeWork(folder, { stop: { ...bed2, untilMs: NOW_MS + 1 } }));
    expect(said).toMatchObject({
      part: 'store',
      orderId: `hold-1-${NOW_MS}`,
      remaining: { heldBedIds: ['bed-2'] },
    });
    expect(look(folder, openHolds)).toMatchObject([
      { who: 'B. Mower', why: 'leak', beds: ['bed-2'], untilMs: NOW_MS + 1, atMs: NOW_MS },
    ]);
  });

  it('says that nothing remains of one of everything, or without a plan', async () => {
    const whole = await doer().do(storeWork(dataFolder()));
    expect(whole).toMatchObject({ orderId: `hold-1-${NOW_MS}`, remaining: null });
    const empty = scratchFolder();
    openDatabase(empty).close();
    const none = await doer().do(storeWork(empty, { stop: bed2 }));
    expect(none).toMatchObject({ orderId: `hold-1-${NOW_MS}`, remaining: null });
    const noOutputs = await doer().do(storeWork(dataFolder(), { stop: bed2, outputs: [] }));
    expect(noOutputs).toMatchObject({ orderId: `hold-1-${NOW_MS}`, remaining: null });
  });

  it('says what was in force where the hold cannot be written', async () => {
    const folder = dataFolder();
    const holder = openDatabase(folder);
    onTestFinished(() => void holder.close());
    holder.exec('BEGIN IMMEDIATE');
    const sinceMs = performance.now();
    const said = await doer().do(storeWork(folder, { stop: bed2 }));
    expect(performance.now() - sinceMs).toBeGreaterThan(1_700);
    expect(said).toMatchObject({ orderId: null, why: expect.stringContaining('locked') });
    expect((said as { remaining: ConfirmedPlan | null }).remaining?.digest).toMatch(
      /^[0-9a-f]{64}/,
    );
  });

  it.each<[string, (folder: string) => object, RegExp]>([
    ['another site', () => ({ siteId: 'heron-bank' }), /belongs to the site example-site/],
    [
      'a store that is lost',
      (folder) => {
        const at = '2026-07-01T05:00:00-07:00';
        const status = {
          format: 'dewbeat-status',
          format_version: 1,
          pid: 1,
          started_at: at,
          heartbeat_at: at,
          config_read_at: at,
          config_problems: [],
          page: null,
          outputs: [],
          duties: [],
          unhealthy: [],
          database_fault: null,
        };
        rmSync(join(folder, DATABASE_FILE));
        writeFileSync(join(folder, 'status.json'), JSON.stringify(status));
        return {};
      },
      /is gone, though a daemon has kept its memory there/,
    ],
    [
      'a folder that is none',
      () => {
        const file = join(scratchFolder(), 'file');
        writeFileSync(file, '');
        return { dataFolder: join(file, 'data') };
      },
      /./,
    ],
  ])('writes nothing for %s, and says why', async (_, prepare, why) => {
    const folder = dataFolder();
    const change = prepare(folder);
    const said = await doer().do(storeWork(folder, change));
    expect(said).toEqual({
      part: 'store',
      orderId: null,
      why: expect.stringMatching(why),
      remaining: null,
    });
  });

  it('takes down what the outputs have answered, under its order', async () => {
    const folder = dataFolder();
    const part = doer();
    const said = await part.do(storeWork(folder));
    const orderId = (said as { orderId: string }).orderId;
    const answers = [{ output: 'file', answer: { kind: 'accepted' as const, detail: 'taken' } }];
    expect(await part.do({ part: 'answers', orderId, answers })).toEqual({ part: 'answers' });
    part.leave();
    expect(look(folder, newestOrders)).toMatchObject([
      { orderId, lastAnswer: 'accepted', lastDetail: 'taken', attempts: 1 },
    ]);
    part.leave();
    expect(await part.do({ part: 'answers', orderId, answers })).toEqual({ part: 'answers' });
    expect(look(folder, newestOrders)).toMatchObject([{ attempts: 1 }]);
  });
});

describe('the part of an output', () => {
  const outputWork = (baseFolder: string, change: object = {}): StopTask => ({
    part: 'output',
    stop: all,
    siteId: 'example-site',
    zone: EXAMPLE_ZONE,
    units: 'metric',
    stationsAtOnce: 4,
    output: {
      output: 'file',
      name: 'file',
      folder: 'out',
      takes_changes: true,
      readable_by: 'owner',
      language: 'en',
    },
    baseFolder,
    orderId: null,
    remaining: null,
    ...change,
  });
  const orderIn = (folder: string) =>
    JSON.parse(readFileSync(join(folder, 'out', 'plan.json'), 'utf8')) as object;
  async function remaining(): Promise<ConfirmedPlan> {
    const said = await doer().do(storeWork(dataFolder(), { stop: bed2 }));
    const { remaining: plan } = said as { remaining: ConfirmedPlan | null };
    if (plan === null) throw new Error('nothing remains');
    return plan;
  }

  it('empties it, under an id of its own where the store has none', async () => {
    const folder = scratchFolder();
    expect(await doer().do(outputWork(folder))).toEqual({
      part: 'output',
      answer: { kind: 'accepted', detail: 'written to out' },
    });
    expect(orderIn(folder)).toMatchObject({
      order_id: `stop-${NOW_MS}-${NOW_MS}`,
      site_id: 'example-site',
      site_day: '2026-07-01',
      withdrawn: { who: 'B. Mower', why: 'leak', everything: true },
      runs: [],
    });
  });

  it('leaves what remains where runs stand, under the id of the store', async () => {
    const folder = scratchFolder();
    const change = { stop: bed2, orderId: 'hold-1-5', remaining: await remaining() };
    mkdirSync(join(folder, 'out'));
    const run = { start: new Date(NOW_MS + 60_000).toISOString() };
    const standing = { format: 'dewbeat-order', order_id: 'o-1', runs: [run] };
    writeFileSync(join(folder, 'out', 'plan.json'), JSON.stringify(standing));
    expect(await doer().do(outputWork(folder, change))).toMatchObject({
      answer: { detail: 'written to out' },
    });
    expect(orderIn(folder)).toMatchObject({
      order_id: 'hold-1-5',
      held_beds: ['bed-2'],
      withdrawn: { everything: false, beds: ['bed-2'] },
    });
  });

  it('brings no runs of the others where none stand', async () => {
    const folder = scratchFolder();
    const change = { stop: bed2, orderId: 'hold-1-5', remaining: await remaining() };
    expect(await doer().do(outputWork(folder, change))).toMatchObject({
      answer: { detail: 'written to out; every bed, to be safe' },
    });
    expect(orderIn(folder)).toMatchObject({ withdrawn: { everything: true }, runs: [] });
  });

  it('empties it for one bed where nobody knows what remains, and says so', async () => {
    const folder = scratchFolder();
    expect(await doer().do(outputWork(folder, { stop: bed2 }))).toMatchObject({
      answer: { kind: 'accepted', detail: 'written to out; every bed, to be safe' },
    });
    expect(orderIn(folder)).toMatchObject({ withdrawn: { everything: true }, runs: [] });
  });

  it('says what stands in its way, and asks a refusal once', async () => {
    const folder = scratchFolder();
    writeFileSync(join(folder, 'out'), '');
    const sinceMs = performance.now();
    expect(await doer().do(outputWork(folder, { stop: bed2 }))).toMatchObject({
      answer: { kind: 'rejected', detail: expect.stringContaining('a file stands in the path') },
    });
    expect(performance.now() - sinceMs).toBeLessThan(1_500);
  });

  it('tries for two seconds where nobody can say, and no longer', async () => {
    const output = {
      output: 'mqtt',
      name: 'radio',
      url: 'mqtt://127.0.0.1:1',
      protocol: '5',
      mode: 'plan',
      late_tolerance: 20,
      prefix: 'dewbeat',
      timeout: 1,
      retry: 1,
    };
    const sinceMs = performance.now();
    const said = await doer().do(outputWork('.', { output }));
    const tookMs = performance.now() - sinceMs;
    expect(said).toMatchObject({
      answer: { kind: 'unknown', detail: expect.stringContaining('broker away') },
    });
    expect(tookMs).toBeGreaterThan(1_900);
    expect(tookMs).toBeLessThan(4_000);
  });

  it('speaks to a broker as another client than the daemon, which may hang', async () => {
    vi.doMock('mqtt', fakeMqtt as never);
    vi.resetModules();
    onTestFinished(() => {
      vi.doUnmock('mqtt');
      vi.resetModules();
    });
    FakeClient.all = [];
    const fresh = await import('../../../daemon/delivery/outside-stop-part.ts');
    const output = {
      output: 'mqtt',
      name: 'radio',
      client_id: 'daemon',
      url: 'mqtt://b',
      protocol: '5',
      mode: 'plan',
      prefix: 'dewbeat',
      timeout: 1,
      retry: 1,
    };
    const said = fresh.stopWorker().do(outputWork('.', { output }));
    while (FakeClient.all.length === 0) await new Promise((resolve) => setImmediate(resolve));
    const client = FakeClient.last.connects();
    expect(await said).toEqual({
      part: 'output',
      answer: { kind: 'accepted', detail: 'radio: the broker has it' },
    });
    expect(client.options.clientId).toBe(`dewbeat-stop-example-site-${process.pid}`);
  });

  it('says what is wrong where it cannot be made', async () => {
    expect(await doer().do(outputWork('.', { zone: 'No/Where' }))).toEqual({
      part: 'output',
      answer: { kind: 'unknown', detail: expect.stringContaining('No/Where') },
    });
  });
});

describe('a stop past the daemon, here', () => {
  it('writes the hold and empties every place, and is told so', async () => {
    const folder = dataFolder();
    const base = scratchFolder();
    mkdirSync(join(base, 'before'));
    const output = { output: 'file', name: 'file', folder: 'out', readable_by: 'owner' };
    const site = {
      site_id: 'example-site',
      zone: EXAMPLE_ZONE,
      units: 'metric',
      stations_at_once: 4,
      outputs: [{ output, base_folder: base }],
      left: [{ output, base_folder: join(base, 'before') }],
    } as unknown as KeptSite;
    const outside = outsideStop(site, folder);
    const outcome = await outside.stop(all);
    outside.leave();
    const accepted = { kind: 'accepted', detail: 'written to out' };
    expect(outcome).toEqual({
      beds: 'all',
      stoppedAt: [
        { output: 'file', answer: accepted },
        { output: 'file, where it wrote before', answer: accepted },
      ],
      unwritten: null,
      keeper: 'nobody',
    });
    expect(existsSync(join(base, 'before', 'out', 'plan.json'))).toBe(true);
    expect(look(folder, newestOrders)).toMatchObject([
      { kind: 'withdraw', lastAnswer: 'accepted' },
    ]);
  });
});
