import { describe, expect, it } from 'vitest';
import { LANGUAGES } from '../../../adapters/contract.ts';
import { needsOf, sayNeed } from '../../../daemon/service/needs.ts';
import type { SiteStatus } from '../../../daemon/service/site-status.ts';
import { SITE_NOT_TOLD } from '../../../daemon/site/gate/site-changes.ts';
import type { OrderState } from '../../../daemon/site/store/outbox.ts';
import type { DaemonStatus } from '../../../daemon/site/store/running-daemon.ts';
import { examplePlan } from '../../example-plan.ts';
import { inventedReader } from '../../reader.ts';

const NOW_MS = Date.parse('2026-07-01T12:00:00Z');
const MIN_MS = 60_000;

const daemon: DaemonStatus = {
  format: 'dewbeat-status',
  format_version: 1,
  pid: 1,
  started_at: '2026-07-01T06:00:00Z',
  heartbeat_at: '2026-07-01T11:59:55Z',
  config_read_at: '2026-07-01T06:00:00Z',
  config_problems: [],
  page: 'http://127.0.0.1:1',
  outputs: [{ output: 'file', ok: true, detail: 'written' }],
  duties: [],
  read_back: [],
  left_places: [],
  unhealthy: [],
  database_fault: null,
  database_gone: null,
  lock_gone: null,
};

const well: SiteStatus = {
  nowMs: NOW_MS,
  siteDay: '2026-07-01',
  running: true,
  daemon,
  heartbeatMs: NOW_MS - 5_000,
  newest: null,
  inForce: null,
  nextRun: null,
  driest: null,
  morningOwed: false,
  planFault: null,
  doubts: { altered: [], siteChanges: [] },
  holds: [],
  keepOffs: [],
  orders: [],
  open: [],
  disk: { databaseMb: 1, freeMb: 5_000 },
};

const order: OrderState = {
  orderId: 'o-1',
  output: 'field',
  kind: 'deliver',
  confirmationId: 1,
  holdId: null,
  atMs: NOW_MS - 3 * MIN_MS,
  validUntilMs: NOW_MS + 60 * MIN_MS,
  attempts: 2,
  lastAttemptMs: NOW_MS - MIN_MS,
  lastAnswer: 'unknown',
  lastDetail: 'broker away',
  toPlace: null,
};

const plan = examplePlan({ siteDay: '2026-07-01', endMs: NOW_MS + 60 * MIN_MS });
const stored = {
  planId: 1,
  cause: 'morning',
  digest: 'a'.repeat(64),
  plan,
  lifts: [],
  lastHoldId: 0,
} as const;
const held = { stored: { ...stored, lifts: [] }, standing: { kind: 'held' as const, runs: [] } };

describe('needsOf', () => {
  it.each<[string, Partial<SiteStatus>, string[]]>([
    ['all is well', {}, []],
    ['no daemon', { running: false }, ['daemon_away']],
    [
      'no daemon: what an earlier one said counts no more',
      {
        running: false,
        daemon: { ...daemon, database_fault: 'full', page: null, unhealthy: ['x'] },
      },
      ['daemon_away'],
    ],
    ['a daemon without a word', { daemon: null, heartbeatMs: null }, ['heartbeat_late']],
    ['a heartbeat just in time', { heartbeatMs: NOW_MS - 40_000 }, []],
    ['a late heartbeat', { heartbeatMs: NOW_MS - 41_000 }, ['heartbeat_late']],
    ['a hanging job', { daemon: { ...daemon, unhealthy: ['x: hangs'] } }, ['clockwork']],
    ['a refused config', { daemon: { ...daemon, config_problems: ['x'] } }, ['config_refused']],
    [
      'a database that is gone',
      { daemon: { ...daemon, database_gone: 'x: was deleted while it is open' } },
      ['database_gone'],
    ],
    [
      'a lock that is gone: the daemon lives and nobody holds the folder',
      { running: false, daemon: { ...daemon, lock_gone: 'x: was deleted while it is open' } },
      ['lock_gone', 'daemon_away'],
    ],
    [
      'a lock that was gone when the last daemon ended',
      {
        running: false,
        heartbeatMs: NOW_MS - 41_000,
        daemon: { ...daemon, lock_gone: 'x: was deleted while it is open' },
      },
      ['daemon_away'],
    ],
    [
      'a row that was altered',
      { doubts: { altered: [{ code: 'confirm_gone' }], siteChanges: [] } },
      ['store_altered'],
    ],
    ['another site', { doubts: { altered: [], siteChanges: [[SITE_NOT_TOLD]] } }, ['site_changed']],
    ['a full database', { daemon: { ...daemon, database_fault: 'full' } }, ['database_fault']],
    ['little space', { disk: { databaseMb: 1, freeMb: 199 } }, ['disk_low']],
    ['space not told', { disk: { databaseMb: 1, freeMb: null } }, []],
    ['an order open for minutes', { orders: [order], open: [order] }, ['order_open']],
    ['an order just given', { open: [{ ...order, atMs: NOW_MS - MIN_MS }] }, []],
    ['a refused order', { orders: [{ ...order, lastAnswer: 'rejected' }] }, ['order_refused']],
    [
      'a refused order whose day is over',
      { orders: [{ ...order, lastAnswer: 'rejected', validUntilMs: NOW_MS }] },
      [],
    ],
    [
      'an output away',
      { daemon: { ...daemon, outputs: [{ output: 'field', ok: false, detail: 'away' }] } },
      ['output_away'],
    ],
    [
      'an output that cannot be read back for a while',
      {
        daemon: {
          ...daemon,
          read_back: [
            {
              output: 'field',
              detail: 'no right',
              unseen_since: new Date(NOW_MS - 11_000).toISOString(),
              put_right_of_late: 0,
            },
          ],
        },
      },
      ['output_unseen'],
    ],
    [
      'an output that is being looked at',
      {
        daemon: {
          ...daemon,
          read_back: [
            {
              output: 'field',
              detail: '',
              unseen_since: new Date(NOW_MS - 9_000).toISOString(),
              put_right_of_late: 2,
            },
          ],
        },
      },
      [],
    ],
    [
      'an output to which somebody else writes',
      {
        daemon: {
          ...daemon,
          read_back: [{ output: 'field', detail: '', unseen_since: null, put_right_of_late: 3 }],
        },
      },
      ['output_changed'],
    ],
    [
      'a place that was left',
      { daemon: { ...daemon, left_places: [{ place: 'file out', detail: 'no answer' }] } },
      ['place_left'],
    ],
    ['no plan in the morning', { morningOwed: true }, ['plan_missing']],
    [
      'a plan of a person stands in',
      { morningOwed: true, newest: { ...held, standing: { kind: 'stopped', who: 'x', atMs: 0 } } },
      [],
    ],
    ['a plan that waits', { newest: held }, ['plan_held']],
    [
      'a plan that waited until its day was over',
      { newest: held, nowMs: plan.endMs, heartbeatMs: plan.endMs },
      [],
    ],
    [
      'a hold',
      {
        holds: [
          {
            holdId: 1,
            atMs: 0,
            who: 'A. Keeper',
            why: 'leak',
            beds: ['g1'],
            untilMs: null,
            inForceId: null,
          },
        ],
      },
      ['hold_open'],
    ],
    ['a page that cannot be served', { daemon: { ...daemon, page: null } }, ['page_away']],
  ])('%s', (_, change, codes) => {
    expect(needsOf({ ...well, ...change }).map(({ code }) => code)).toEqual(codes);
  });

  it('says what to do in every sentence', () => {
    const all = needsOf({
      ...well,
      daemon: {
        ...daemon,
        database_fault: 'full',
        unhealthy: ['x: hangs for 400 s'],
        config_problems: ['y'],
        page: null,
        outputs: [{ output: 'field', ok: false, detail: 'away' }],
      },
      heartbeatMs: 0,
      disk: { databaseMb: 1, freeMb: 3 },
      orders: [{ ...order, lastAnswer: 'rejected' }],
      open: [order],
      morningOwed: true,
      newest: { ...held, stored: { ...held.stored, plan: { ...plan, siteDay: '2026-06-30' } } },
    });
    expect(all.length).toBeGreaterThanOrEqual(11);
    for (const language of LANGUAGES) {
      const reader = { ...inventedReader(), language };
      for (const need of all) {
        const text = sayNeed(need, reader);
        expect(text).toMatch(/; |: /);
        expect(text, 'no value is missing').not.toMatch(/[{}]/);
      }
    }
  });
});
