import type { FastifyInstance } from 'fastify';
import type { OperationsView } from './operations-view.ts';
import { unready } from './readiness.ts';

/** What the operating routes need of the page. */
export interface OperationsRouteOptions {
  siteId: string;
  now(): number;
  view: OperationsView;
}

/**
 * Routes for whoever watches over the process: alive (`/health`), to be counted on (`/ready`, 503
 * with every reason otherwise), and figures in the Prometheus text format (`/metrics`).
 */
export async function operationsRoutes(
  app: FastifyInstance,
  { siteId, now, view }: OperationsRouteOptions,
): Promise<void> {
  app.get('/health', async () => ({ status: 'ok', site: siteId }));
  app.get('/ready', async (_, reply) => {
    const reasons = unready(view.readiness?.() ?? null, now());
    return reply
      .code(reasons.length === 0 ? 200 : 503)
      .send({ ready: reasons.length === 0, site: siteId, reasons });
  });
  app.get('/metrics', async (_, reply) => {
    const found = await view.metrics?.();
    if (found === undefined) {
      return reply.code(503).type('text/plain').send('The daemon is starting.\n');
    }
    return reply.type(found.type).send(found.text);
  });
}
