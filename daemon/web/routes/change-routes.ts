import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { display } from '../../../adapters/display-units.ts';
import { deedOf } from '../../acts/change.ts';
import { keepAndPlan } from '../../acts/deed.ts';
import { oneAfterAnother } from '../../acts/one-after-another.ts';
import { dayAsItIs, preview } from '../../acts/preview.ts';
import type { Proposal } from '../../planning/propose-plan.ts';
import { changeLines } from '../../words/change-lines.ts';
import type { Guard } from '../safety/guard.ts';
import type { ChangeRequest, ChangeView, PreviewView } from '../views/change-view.ts';
import { viewVersion } from '../views/version.ts';
import type { WebParts } from '../web-parts.ts';
import { bodyOf } from './body.ts';
import { changeSchema } from './change-schema.ts';

const MINUTE_MS = 60_000;
const bodySchema = z.strictObject({
  change: changeSchema,
  who: z.string().trim().max(60).optional(),
});

/** A change, first as a preview and then kept: every change ends in a held revision. */
export function changeRoutes(app: FastifyInstance, parts: WebParts, guard: Guard): void {
  const { db, config, weather, now } = parts;
  const inTurn = oneAfterAnother();
  let kept: { key: string; day: Promise<Proposal> } | null = null;

  /** Several previews in a row are held against the same day. */
  const asItIs = (nowMs: number): Promise<Proposal> => {
    const key = `${viewVersion(db)} ${Math.floor(nowMs / MINUTE_MS)}`;
    if (kept?.key !== key) {
      const day = dayAsItIs({ db, config, weather, nowMs });
      kept = { key, day };
      day.catch(() => {
        kept = null;
      });
    }
    return kept.day;
  };

  app.post('/api/preview', async (request): Promise<PreviewView> => {
    // A watcher may think aloud: a preview keeps nothing.
    guard.mustLook(request);
    const startedMs = performance.now();
    const { change, who } = bodyOf(bodySchema, request.body);
    const name = guard.personOf(request)?.name ?? (who || 'someone');
    return inTurn(async () => {
      const context = { db, config, weather, nowMs: now() };
      const deed = deedOf(context, change as ChangeRequest, name);
      const view = await preview(context, deed, await asItIs(context.nowMs));
      return { ...view, tookMs: Math.round(performance.now() - startedMs) };
    });
  });

  app.post('/api/change', async (request): Promise<ChangeView> => {
    const { change, who } = bodyOf(bodySchema, request.body);
    const name = guard.mustAct(request, 'change', who);
    return inTurn(async () => {
      const context = { db, config, weather, nowMs: now() };
      const { lines, before, stored } = await keepAndPlan(
        context,
        deedOf(context, change as ChangeRequest, name),
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
