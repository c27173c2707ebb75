import fastify from 'fastify';
import { describe, expect, it } from 'vitest';
import {
  emptyView,
  monitoringRoutes,
  type ReadinessFacts,
  unready,
} from '../../../daemon/service/monitoring.ts';

const well: ReadinessFacts = {
  databaseFault: null,
  gone: { database: null, lock: null },
  unhealthy: [],
  wroteMs: 0,
};

describe('unready', () => {
  it.each<[string, ReadinessFacts | null, number, string[]]>([
    ['well', well, 10_000, []],
    ['starting', null, 0, ['starting']],
    ['a database that refuses', { ...well, databaseFault: 'full' }, 0, ['database_fault']],
    [
      'a database that is gone',
      { ...well, gone: { database: 'x', lock: null } },
      0,
      ['database_gone'],
    ],
    ['a lock that is gone', { ...well, gone: { database: null, lock: 'x' } }, 0, ['lock_gone']],
    ['a job that hangs', { ...well, unhealthy: ['x: hangs'] }, 0, ['clockwork']],
    ['a status not written for long', well, 41_000, ['heartbeat_late']],
    ['a status never written', { ...well, wroteMs: null }, 0, ['heartbeat_late']],
  ])('%s', (_, facts, nowMs, codes) => {
    expect(unready(facts, nowMs).map(({ code }) => code)).toEqual(codes);
  });
});

describe('operationsRoutes', () => {
  it('is alive before the daemon is, and ready only with it', async () => {
    const view = emptyView();
    const app = fastify();
    await app.register(monitoringRoutes, { siteId: 'x', now: () => 5, view });
    expect((await app.inject('/health')).json()).toEqual({ status: 'ok', site: 'x' });
    const early = await app.inject('/ready');
    expect(early.statusCode).toBe(503);
    expect(early.json()).toMatchObject({ ready: false, reasons: [{ code: 'starting' }] });
    expect((await app.inject('/metrics')).statusCode).toBe(503);
    view.readiness = () => well;
    view.metrics = async () => ({ type: 'text/plain; version=0.0.4', text: 'dewbeat_holds 0\n' });
    expect((await app.inject('/ready')).statusCode).toBe(200);
    const metrics = await app.inject('/metrics');
    expect(metrics.headers['content-type']).toContain('version=0.0.4');
    expect(metrics.body).toBe('dewbeat_holds 0\n');
    view.readiness = () => ({ ...well, databaseFault: 'disk is full' });
    expect((await app.inject('/ready')).json()).toMatchObject({
      reasons: [{ code: 'database_fault', text: expect.stringContaining('disk is full') }],
    });
    await app.close();
  });
});
