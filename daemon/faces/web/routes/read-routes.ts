import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { z } from 'zod';
import { planDocument } from '../../../../adapters/plan-document.ts';
import { planStanding } from '../../../site/gate/gate.ts';
import { lastAuditEntries } from '../../../site/store/audit-log.ts';
import { storeVersion } from '../../../site/store/database.ts';
import { newestPlan } from '../../../site/store/plans.ts';
import type { Reader } from '../../../words/plan-words.ts';
import { pageReader, sayToPage } from '../asked-language.ts';
import { type Asset, encoded, readAssets } from '../assets.ts';
import { bodyOf, Refused } from '../refused.ts';
import type { Guard } from '../safety/guard.ts';
import type { BedView, LogRow } from '../views/bed-view.ts';
import { logRow, readBedView, readBedViews } from '../views/read-bed.ts';
import { readToday } from '../views/read-today.ts';
import type { TodayView } from '../views/today-view.ts';
import type { ViewContext } from '../views/view-context.ts';
import type { WebParts } from '../web-parts.ts';

const bedParams = z.strictObject({ id: z.string().min(1).max(64) });
const logQuery = z.strictObject({ last: z.coerce.number().int().min(1).max(500).default(100) });

/** What the page reads: the day, a bed, the log. */
export function readRoutes(
  app: FastifyInstance,
  parts: WebParts,
  given: { guard: Guard; context(reader: Reader): Promise<ViewContext> },
): void {
  const { guard } = given;
  const context = (request: FastifyRequest) => given.context(pageReader(parts.config, request));

  app.get('/api/today', async (request): Promise<TodayView> => {
    guard.mustLook(request);
    return readToday(await context(request));
  });

  app.get('/api/bed/:id', async (request): Promise<BedView> => {
    guard.mustLook(request);
    const { id } = bodyOf(bedParams, request.params);
    const view = readBedView(await context(request), id);
    if (view !== null) return view;
    const known = parts.config.site.beds.map((bed) => bed.id).join(', ');
    throw new Refused(404, 'no_such_bed', {
      key: 'page_refused.no_such_bed',
      values: { got: id, beds: known },
    });
  });

  app.get('/api/beds', async (request): Promise<{ beds: BedView[] }> => {
    guard.mustLook(request);
    return { beds: readBedViews(await context(request)) };
  });

  app.get('/api/log', async (request): Promise<{ rows: LogRow[] }> => {
    guard.mustLook(request);
    const { last } = bodyOf(logQuery, request.query);
    const say = sayToPage(request);
    const { clock } = parts.config;
    return { rows: lastAuditEntries(parts.db, last).map((step) => logRow(step, clock, say)) };
  });
}

/** The store is looked at this often: a row of the command line shows no later. */
const POLL_MS = 1000;
/** A line without meaning, so that a broken connection is noticed on both sides. */
const KEEP_ALIVE_MS = 15_000;
const MAX_LISTENERS = 100;

/**
 * Tells open pages when something has changed, by server-sent events: `event: changed` with the
 * version that a fresh reading will carry. The page then reads again.
 */
export function eventsRoute(app: FastifyInstance, parts: WebParts, guard: Guard): void {
  const listeners = new Map<FastifyReply, { mayListen(): boolean; beatMs: number }>();
  let told = '';
  let timer: NodeJS.Timeout | null = null;

  const end = (reply: FastifyReply) => {
    listeners.delete(reply);
    reply.raw.end();
    if (listeners.size === 0 && timer !== null) {
      clearInterval(timer);
      timer = null;
    }
  };
  const look = () => {
    if (!parts.db.open) return;
    const version = storeVersion(parts.db);
    const isNew = version !== told;
    told = version;
    for (const [reply, listener] of listeners) {
      if (!listener.mayListen()) {
        end(reply);
        continue;
      }
      if (isNew) reply.raw.write(changedEvent(version));
      listener.beatMs += POLL_MS;
      if (listener.beatMs < KEEP_ALIVE_MS) continue;
      listener.beatMs = 0;
      reply.raw.write(': still here\n\n');
    }
  };

  app.get('/api/events', async (request, reply) => {
    guard.mustLook(request);
    if (listeners.size >= MAX_LISTENERS) {
      throw new Refused(503, 'too_many_pages', { key: 'page_refused.too_many_pages' });
    }
    const version = storeVersion(parts.db);
    if (listeners.size === 0) told = version;
    reply.hijack();
    reply.raw.writeHead(200, {
      ...(reply.getHeaders() as Record<string, string>),
      'content-type': 'text/event-stream; charset=utf-8',
      'x-accel-buffering': 'no',
    });
    reply.raw.write(`retry: 2000\n\n${changedEvent(version)}`);
    const mayListen = () => {
      try {
        guard.mustLook(request);
        return true;
      } catch {
        return false;
      }
    };
    listeners.set(reply, { mayListen, beatMs: 0 });
    timer ??= setInterval(look, POLL_MS);
    request.raw.on('close', () => end(reply));
  });

  app.addHook('preClose', async () => {
    for (const reply of listeners.keys()) end(reply);
  });
}

function changedEvent(version: string): string {
  return `event: changed\ndata: ${JSON.stringify({ version })}\n\n`;
}

/** The page itself, and the newest plan as a document. */
export async function pageRoutes(
  app: FastifyInstance,
  parts: WebParts,
  guard: Guard,
): Promise<void> {
  const { db, config } = parts;
  const assets = await readAssets(parts.assetFolder);

  app.get('/plan.json', async (request) => {
    guard.mustLook(request);
    const stored = newestPlan(db);
    if (stored === null) throw new Refused(404, 'no_plan', { key: 'page_refused.no_plan' });
    return {
      digest: stored.digest,
      standing: planStanding(db, stored).kind,
      plan: planDocument(stored.plan, config.clock),
    };
  });

  if (assets !== null) {
    for (const [name, asset] of assets) {
      app.get(`/${name}`, async (request, reply) => sendAsset(request, reply, asset));
    }
    const index = assets.get('index.html');
    if (index !== undefined) {
      app.get('/', async (request, reply) => sendAsset(request, reply, index));
    }
    return;
  }
  app.get('/', async (_, reply) =>
    reply
      .code(503)
      .type('text/plain; charset=utf-8')
      .send('The page was not built: run `npm run build`. `dewbeat show` tells the same.\n'),
  );
}

/** A browser may keep a file of the page, and asks each time whether it is still the same. */
function sendAsset(request: FastifyRequest, reply: FastifyReply, asset: Asset): FastifyReply {
  reply
    .header('cache-control', 'no-cache')
    .header('etag', asset.etag)
    .header('vary', 'accept-encoding');
  if (request.headers['if-none-match']?.split(/,\s*/).includes(asset.etag)) {
    return reply.code(304).send();
  }
  const accepts = request.headers['accept-encoding'];
  const { body, encoding } = encoded(asset, typeof accepts === 'string' ? accepts : '');
  if (encoding !== null) reply.header('content-encoding', encoding);
  return reply.type(asset.type).send(body);
}
