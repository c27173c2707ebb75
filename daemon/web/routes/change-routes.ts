import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { display } from '../../../adapters/display-units.ts';
import { keepAction, keepAndPlan } from '../../actions/action.ts';
import { type ActionChoice, actionChoices } from '../../actions/choices.ts';
import { type FormView, formView } from '../../actions/form-view.ts';
import { ACTIONS, actionNamed, actionOf } from '../../actions/list.ts';
import { oneAfterAnother } from '../../actions/one-after-another.ts';
import { reckonerHere } from '../../reckoner/reckoner-here.ts';
import { changeLines } from '../../words/change-lines.ts';
import { readerOf } from '../../words/reader.ts';
import { sayTold } from '../../words/told.ts';
import { Refused } from '../refused.ts';
import type { Guard } from '../safety/guard.ts';
import type { ChangeView, PreviewView } from '../views/change-view.ts';
import { formFacts } from '../views/form-facts.ts';
import { readBedView } from '../views/read-bed.ts';
import { readToday } from '../views/read-today.ts';
import type { ViewContext } from '../views/view-context.ts';
import type { WebParts } from '../web-parts.ts';
import { bodyOf } from './body.ts';

/** Changes that wait for those before them, each with its plan. */
const MOST_CHANGES = 16;
const bodySchema = z.strictObject({
  change: z.looseObject({ kind: z.string().max(40) }),
  who: z.string().trim().max(60).optional(),
});

const formParams = z.strictObject({ kind: z.string().min(1).max(40) });
const formQuery = z.strictObject({ bed: z.string().max(64).optional() });

/**
 * What a person can do: the form of each action, what it would do, and the doing of it, which ends in a
 * held plan where a plan follows from it.
 */
export function changeRoutes(
  app: FastifyInstance,
  parts: WebParts,
  given: { guard: Guard; context(): Promise<ViewContext> },
): void {
  const { guard, context: viewContext } = given;
  const { db, config, weather, now, reckoner = reckonerHere(parts) } = parts;
  const inTurn = oneAfterAnother(MOST_CHANGES);

  app.get('/api/actions', async (request): Promise<ActionChoice[]> => {
    guard.mustLook(request);
    return actionChoices();
  });

  app.get('/api/form/:kind', async (request): Promise<FormView> => {
    guard.mustLook(request);
    const { kind } = bodyOf(formParams, request.params);
    const { bed: bedId = null } = bodyOf(formQuery, request.query);
    const spec = actionNamed(kind);
    if (spec === null) {
      const known = ACTIONS.map((one) => one.kind).join(', ');
      throw new Refused(404, 'not_found', `form: there is none (got ${kind}); they are ${known}`);
    }
    const context = await viewContext();
    const bed = bedId === null ? null : readBedView(context, bedId);
    const facts = formFacts(readToday(context), { bedId, signs: bed?.stage.signs ?? [] });
    return formView(spec, facts, { language: 'en', units: config.units });
  });

  app.post('/api/preview', async (request): Promise<PreviewView> => {
    // A watcher may think aloud: a preview keeps nothing.
    guard.mustLook(request);
    const startedMs = performance.now();
    const { change, who } = bodyOf(bodySchema, request.body);
    const person = guard.personOf(request)?.name;
    const view = await reckoner.ask(
      'preview',
      { nowMs: now(), change, who: person ?? (who || 'someone') },
      person ?? request.ip,
    );
    return { ...view, tookMs: Math.round(performance.now() - startedMs) };
  });

  app.post('/api/change', async (request): Promise<ChangeView> => {
    const { change, who } = bodyOf(bodySchema, request.body);
    const name = guard.mustAct(request, 'change', who);
    return inTurn(async () => {
      const context = { db, config, weather, nowMs: now() };
      const action = actionOf(context, change, name);
      if (actionNamed(change.kind)?.isPlanned === false) {
        const reader = readerOf(config);
        const lines = keepAction(context, action).map((told) => sayTold(told, reader));
        return { lines, plan: null, changes: [] };
      }
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
