import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { display } from '../../../adapters/display-units.ts';
import { keepAndPlan } from '../../actions/action.ts';
import { actionOf } from '../../actions/change.ts';
import type { ChangeRequest } from '../../actions/change-request.ts';
import { oneAfterAnother } from '../../actions/one-after-another.ts';
import { reckonerHere } from '../../reckoner/reckoner-here.ts';
import { changeLines } from '../../words/change-lines.ts';
import type { Guard } from '../safety/guard.ts';
import type { ChangeView, PreviewView } from '../views/change-view.ts';
import type { WebParts } from '../web-parts.ts';
import { bodyOf } from './body.ts';
import { changeSchema } from './change-schema.ts';

/** Changes that wait for those before them, each with its plan. */
const MOST_CHANGES = 16;
const bodySchema = z.strictObject({
  change: changeSchema,
  who: z.string().trim().max(60).optional(),
});

/** A change, first as a preview and then kept: every change ends in a held revision. */
export function changeRoutes(app: FastifyInstance, parts: WebParts, guard: Guard): void {
  const { db, config, weather, now, reckoner = reckonerHere(parts) } = parts;
  const inTurn = oneAfterAnother(MOST_CHANGES);

  app.post('/api/preview', async (request): Promise<PreviewView> => {
    // A watcher may think aloud: a preview keeps nothing.
    guard.mustLook(request);
    const startedMs = performance.now();
    const { change, who } = bodyOf(bodySchema, request.body);
    const person = guard.personOf(request)?.name;
    const view = await reckoner.ask(
      'preview',
      { nowMs: now(), change: change as ChangeRequest, who: person ?? (who || 'someone') },
      person ?? request.ip,
    );
    return { ...view, tookMs: Math.round(performance.now() - startedMs) };
  });

  app.post('/api/change', async (request): Promise<ChangeView> => {
    const { change, who } = bodyOf(bodySchema, request.body);
    const name = guard.mustAct(request, 'change', who);
    return inTurn(async () => {
      const context = { db, config, weather, nowMs: now() };
      const action = actionOf(context, change as ChangeRequest, name);
      const { lines, before, stored } = await keepAndPlan(context, action, () =>
        reckoner.ask('plan', { nowMs: context.nowMs, lift: action.lift }),
      );
      const given = { fromMs: context.nowMs, show: display(config.units) };
      return {
        lines,
        plan: stored === null ? null : { revision: stored.plan.revision, digest: stored.digest },
        changes:
          stored === null || before === null ? [] : changeLines(before.plan, stored.plan, given),
      };
    });
  });
}
