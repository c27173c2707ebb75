import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { planDocument } from '../../../adapters/plan-document.ts';
import { planStanding } from '../../gate/plan-standing.ts';
import { newestPlan } from '../../store/plans.ts';
import { type Asset, encoded, readAssets } from '../assets.ts';
import { Refused } from '../refused.ts';
import type { Guard } from '../safety/guard.ts';
import type { WebParts } from '../web-parts.ts';

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
    if (stored === null) throw new Refused(404, 'no_plan', 'plan: there is none yet; make one');
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
