import fastify, { type FastifyError, type FastifyInstance } from 'fastify';
import { ActionRefused, sayRefused } from '../../actions/action-context.ts';
import { NotReckoned, whyNotPlanned } from '../../planning/planning-context.ts';
import { emptyView, monitoringRoutes } from '../../service/monitoring.ts';
import { reckonerHere } from '../../service/reckoner/reckoner.ts';
import { storeRefusal } from '../../site/store/store-faults.ts';
import { type Say, sayMessage } from '../../words/language.ts';
import { sayToPage } from './asked-language.ts';
import { compressReplies } from './assets.ts';
import { Refused } from './refused.ts';
import { changeRoutes, confirmAndHoldRoutes, lookRoutes } from './routes/action-routes.ts';
import { eventsRoute, pageRoutes, readRoutes } from './routes/read-routes.ts';
import { setupRoutes } from './routes/setup-routes.ts';
import { signInRoutes } from './routes/sign-in-routes.ts';
import { guard } from './safety/guard.ts';
import { sessions } from './safety/sessions.ts';
import type { ApiError } from './views/action-view.ts';
import { siteNowReader } from './views/view-context.ts';
import type { WebParts } from './web-parts.ts';

/** More than the longest list of beds that a change can name. */
const MAX_BODY_BYTES = 128 * 1024;

const NOT_RECKONED = { newer_asked: 409, too_busy: 429, not_reckoned: 503 } as const;

/** The page of the morning review and the interface behind it. */
export async function webServer(given: WebParts): Promise<FastifyInstance> {
  const parts: WebParts = { reckoner: reckonerHere(given), ...given };
  const { config, now, onFault, view = emptyView(), signIns = sessions() } = parts;
  const { proxies } = config.page;
  const app = fastify({
    logger: false,
    bodyLimit: MAX_BODY_BYTES,
    requestTimeout: 30_000,
    trustProxy: proxies.length > 0 ? proxies : false,
    forceCloseConnections: true,
  });
  const answer = (error: unknown, say: Say): { status: number; body: ApiError } => {
    if (error instanceof Refused) {
      return {
        status: error.status,
        body: { code: error.code, message: sayMessage(error.told, say), ...error.more },
      };
    }
    if (error instanceof ActionRefused) {
      return { status: 400, body: { code: 'refused', message: sayRefused(error, say) } };
    }
    const why = whyNotPlanned(error);
    const message = why === null ? '' : sayMessage(why, say);
    if (error instanceof NotReckoned) {
      const { code } = error;
      return code === 'stopping'
        ? { status: 503, body: { code: 'not_reckoned', message } }
        : { status: NOT_RECKONED[code], body: { code, message } };
    }
    if (why !== null) return { status: 503, body: { code: 'no_weather', message } };
    const refusal = storeRefusal(error);
    if (refusal !== null) {
      return { status: 503, body: { code: 'store_refuses', message: refusal } };
    }
    const { statusCode = 500, message: got = '' } = error as Partial<FastifyError>;
    if (statusCode >= 400 && statusCode < 500) {
      return { status: statusCode, body: { code: 'bad_request', message: got } };
    }
    onFault?.(error);
    return { status: 500, body: { code: 'fault', message: say('page_refused.fault') } };
  };
  app.setErrorHandler(async (error, request, reply) => {
    const { status, body } = answer(error, sayToPage(request));
    return reply.code(status).send(body);
  });
  app.setNotFoundHandler(async (request, reply) => {
    const message = sayToPage(request)('page_refused.nothing_there');
    return reply.code(404).send({ code: 'not_found', message });
  });
  compressReplies(app);
  const walls = await guard(app, { page: config.page, now, signIns });
  await app.register(async (scope) => {
    // Figures of the site are for this machine and for those who have signed in.
    scope.addHook('onRequest', async (request) => walls.mustWatch(request));
    await monitoringRoutes(scope, { siteId: config.site.id, now, view });
  });
  signInRoutes(app, parts, walls);
  readRoutes(app, parts, { guard: walls, context: siteNowReader(parts) });
  confirmAndHoldRoutes(app, parts, walls);
  changeRoutes(app, parts, { guard: walls, context: siteNowReader(parts) });
  lookRoutes(app, parts, walls);
  setupRoutes(app, parts, walls);
  eventsRoute(app, parts, walls);
  await pageRoutes(app, parts, walls);
  return app;
}
