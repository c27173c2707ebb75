import fastify, { type FastifyInstance } from 'fastify';
import { planDocument } from '../../adapters/plan-document.ts';
import type { LoadedConfig } from '../config/loaded-config.ts';
import { planStanding } from '../gate/plan-standing.ts';
import { emptyView, type OperationsView } from '../operations/operations-view.ts';
import type { Db } from '../store/database.ts';
import { newestPlan } from '../store/plans.ts';
import { operationsRoutes } from './operations-routes.ts';
import { PAGE_CSS } from './page-css.ts';
import { planPage } from './plan-page.ts';

/** Names under which a browser on this machine may reach the page. */
const LOOPBACK_HOSTS = new Set(['localhost', '127.0.0.1', '[::1]']);

/**
 * The daemon's page: it shows the newest plan and changes nothing. It answers only to loopback
 * names, so that no page from elsewhere can read it through a name of its own.
 */
export function webServer(parts: {
  db: Db;
  config: LoadedConfig;
  now(): number;
  view?: OperationsView;
}): FastifyInstance {
  const { db, config, now, view = emptyView() } = parts;
  const app = fastify({ logger: false });
  app.addHook('onRequest', async (request, reply) => {
    const host = (request.headers.host ?? '').replace(/:\d+$/, '');
    if (!LOOPBACK_HOSTS.has(host)) {
      await reply.code(403).type('text/plain').send('This page answers to this machine only.\n');
    }
  });
  app.addHook('onSend', async (_, reply) => {
    reply.header('content-security-policy', "default-src 'none'; style-src 'self'");
    reply.header('x-content-type-options', 'nosniff');
    reply.header('cache-control', 'no-store');
  });
  void app.register(operationsRoutes, { siteId: config.site.id, now, view });
  app.get('/plan.json', async (_, reply) => {
    const stored = newestPlan(db);
    if (stored === null) return reply.code(404).send({ error: 'there is no plan yet' });
    const standing = planStanding(db, stored);
    return {
      digest: stored.digest,
      standing: standing.kind,
      plan: planDocument(stored.plan, config.clock),
    };
  });
  app.get('/', async (_, reply) => {
    const stored = newestPlan(db);
    const standing = stored === null ? null : planStanding(db, stored);
    return reply.type('text/html; charset=utf-8').send(
      planPage({
        stored,
        standing,
        siteName: config.site.name,
        clock: config.clock,
        units: config.units,
        nowMs: now(),
      }),
    );
  });
  app.get('/page.css', async (_, reply) => reply.type('text/css').send(PAGE_CSS));
  return app;
}
