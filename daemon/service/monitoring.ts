import type { FastifyInstance } from 'fastify';
import { HEARTBEAT_MS } from '../site/store/running-daemon.ts';
import type { FileRole } from '../site/store/store-faults.ts';

/** What the operating routes need of the page. */
interface MonitoringOptions {
  siteId: string;
  now(): number;
  view: MonitoringView;
}

/**
 * Routes for whoever watches over the process: alive (`/health`), to be counted on (`/ready`, 503
 * with every reason otherwise), and figures in the Prometheus text format (`/metrics`).
 */
export async function monitoringRoutes(
  app: FastifyInstance,
  { siteId, now, view }: MonitoringOptions,
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

/**
 * What the page's operating routes see of the daemon. The page is up before the daemon and over
 * every reload, so each field is null until there is something to see.
 */
export interface MonitoringView {
  readiness: (() => ReadinessFacts) | null;
  metrics: (() => Promise<{ type: string; text: string }>) | null;
}

export function emptyView(): MonitoringView {
  return { readiness: null, metrics: null };
}

/** Why a daemon that runs cannot be counted on: a closed list. */
export const UNREADY_CODES = [
  'starting',
  'database_gone',
  'lock_gone',
  'database_fault',
  'clockwork',
  'heartbeat_late',
] as const;

type UnreadyCode = (typeof UNREADY_CODES)[number];

interface Unready {
  code: UnreadyCode;
  text: string;
}

/** What readiness is judged by; null while the daemon starts. */
export interface ReadinessFacts {
  databaseFault: string | null;
  /** Files of the store that somebody deleted or replaced while they are open. */
  gone: Readonly<Record<FileRole, string | null>>;
  unhealthy: readonly string[];
  /** When the daemon last managed to write its status; null: never. */
  wroteMs: number | null;
}

/** Why the daemon is not ready; empty when it is. An output or weather that is away is no reason. */
export function unready(facts: ReadinessFacts | null, nowMs: number): Unready[] {
  if (facts === null) return [{ code: 'starting', text: 'the daemon is starting' }];
  const found: Unready[] = [];
  if (facts.gone.database !== null)
    found.push({ code: 'database_gone', text: facts.gone.database });
  if (facts.gone.lock !== null) found.push({ code: 'lock_gone', text: facts.gone.lock });
  if (facts.databaseFault !== null) {
    found.push({
      code: 'database_fault',
      text: `the database refuses to be written (got ${facts.databaseFault})`,
    });
  }
  for (const text of facts.unhealthy) found.push({ code: 'clockwork', text });
  if (facts.wroteMs === null || Math.abs(nowMs - facts.wroteMs) > 4 * HEARTBEAT_MS) {
    found.push({ code: 'heartbeat_late', text: 'the status has not been written of late' });
  }
  return found;
}
