import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { SURFACES } from '../../../../calc/looks/look-evidence.ts';
import { keepAction, keepAndPlan } from '../../../actions/action.ts';
import { knownBed } from '../../../actions/action-context.ts';
import { changesSince } from '../../../actions/changes-since.ts';
import { confirm } from '../../../actions/confirm.ts';
import {
  type ActionChoice,
  actionChoices,
  type FormView,
  formView,
} from '../../../actions/form-view.ts';
import { ACTIONS, actionNamed, actionOf } from '../../../actions/list.ts';
import { logLook } from '../../../actions/look.ts';
import { oneAfterAnother } from '../../../actions/one-after-another.ts';
import { type BedsToHold, bedsToHold, hold } from '../../../actions/stop-water.ts';
import type { StopRequest } from '../../../delivery/stop-now.ts';
import { reckonerHere } from '../../../service/reckoner/reckoner.ts';
import type { StopDone } from '../../../service/service.ts';
import { changeLines, sayRefusal } from '../../../words/confirm-words.ts';
import { sayStop, sayStrangers, withStrangers } from '../../../words/delivery-words.ts';
import { type Say, sayIn } from '../../../words/language.ts';
import { sayEffect, saySeen } from '../../../words/look-words.ts';
import { type Reader, sayTo } from '../../../words/plan-words.ts';
import { sayTold } from '../../../words/told.ts';
import { languageOf, pageReader, sayToPage } from '../asked-language.ts';
import { bodyOf, Refused } from '../refused.ts';
import type { Guard } from '../safety/guard.ts';
import type {
  ApiError,
  ChangeView,
  ConfirmView,
  HoldDoneView,
  LookDoneView,
  PreviewView,
} from '../views/action-view.ts';
import { formFacts } from '../views/form-facts.ts';
import { readBedView } from '../views/read-bed.ts';
import { readToday } from '../views/read-today.ts';
import type { ViewContext } from '../views/view-context.ts';
import type { WebParts } from '../web-parts.ts';

const whoSchema = z.string().trim().max(60).optional();
const bedsSchema = z.union(
  [z.literal('all'), z.array(z.string().min(1).max(64)).min(1).max(2000)],
  {
    error: () => sayIn('en')('refused.beds_missing'),
  },
);
const confirmSchema = z.strictObject({
  revision: z.int().min(1),
  digest: z.string().regex(/^[0-9a-fA-F]{8,64}$/),
  who: whoSchema,
  cautions: z.array(z.string().max(64)).max(20),
  leewayBedIds: z.array(z.string().min(1).max(64)).max(2000).nullable().default(null),
});
const holdSchema = z.strictObject({
  beds: bedsSchema,
  why: z.string().trim().max(200).default(''),
  untilMs: z.int().nullable().default(null),
  who: whoSchema,
});

/** Confirm and hold: what lets water out, and what stops it. */
export function confirmAndHoldRoutes(app: FastifyInstance, parts: WebParts, guard: Guard): void {
  const { db, config, now } = parts;
  const stopWater =
    parts.stopWater ??
    (async (asked: StopRequest): Promise<StopDone> => {
      const written = hold({ db, config, nowMs: asked.atMs }, asked);
      const outcome = { ...asked, stoppedAt: [], unwritten: null, keeper: 'daemon' } as const;
      return { outcome, written };
    });

  app.post('/api/confirm', async (request): Promise<ConfirmView> => {
    const body = bodyOf(confirmSchema, request.body);
    const who = guard.mustAct(request, body.who);
    const reader = pageReader(config, request);
    const result = confirm({ db, config, nowMs: now() }, { ...body, who }, reader);
    if (result.ok) {
      const { line, leeway, onItsWay, missed, orderId } = result;
      return { line, leeway, onItsWay, missed, orderId };
    }
    const { refusal } = result;
    const why = sayRefusal(refusal, reader);
    throw new Refused(
      409,
      refusal.code,
      { key: 'confirm_refused.line', values: { why } },
      whatChanged(parts, body.revision, reader),
    );
  });

  app.post('/api/hold', async (request): Promise<HoldDoneView> => {
    const body = bodyOf(holdSchema, request.body);
    const say = sayToPage(request);
    const who = guard.mustStop(request, body.who);
    const why = body.why === '' ? say('stop_request.no_reason') : body.why;
    const { beds, ...names } = bedsToHold(
      config.site.beds.map(({ id }) => id),
      body.beds,
    );
    if (beds.length === 0) {
      throw new Refused(400, 'no_such_bed', `beds: ${sayStrangers(names, say)}`);
    }
    const asked: StopRequest = { who, why, beds, untilMs: body.untilMs, atMs: now() };
    return holdView(await stopWater(asked), names, say);
  });
}

/**
 * The answer to a hold that was put on.
 * @throws Refused where it did not reach every output, or the store does not have it.
 */
function holdView(
  { outcome, written }: StopDone,
  names: Omit<BedsToHold, 'beds'>,
  say: Say,
): HoldDoneView {
  const words = sayStop(outcome, say);
  const { outputs } = words;
  const line = withStrangers(words.line, names, say);
  if (words.isWell && written !== null) {
    const { holdId, orderId } = written;
    return { line, outputs, holdId, orderId };
  }
  const code = words.isStopped ? 'hold_unwritten' : 'not_stopped';
  throw new Refused(503, code, [line, ...outputs].join('\n'));
}

/** The newest plan, and what it changes against the revision that a person has read. */
function whatChanged(
  { db, config, now }: WebParts,
  revision: number,
  reader: Reader,
): Partial<ApiError> {
  const { newest, changes } = changesSince({ db, config, nowMs: now() }, revision, reader);
  if (newest === null) return {};
  const about = { newest: { revision: newest.plan.revision, digest: newest.digest } };
  return changes === null ? about : { ...about, changes };
}

/** Changes that wait for those before them, each with its plan. */
const MAX_WAITING_CHANGES = 16;
const changeBodySchema = z.strictObject({
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
  given: { guard: Guard; context(reader: Reader): Promise<ViewContext> },
): void {
  const { guard, context: viewContext } = given;
  const { db, config, weather, now, reckoner = reckonerHere(parts) } = parts;
  const inTurn = oneAfterAnother(MAX_WAITING_CHANGES);

  app.get('/api/actions', async (request): Promise<ActionChoice[]> => {
    guard.mustLook(request);
    return actionChoices(sayToPage(request));
  });

  app.get('/api/form/:kind', async (request): Promise<FormView> => {
    guard.mustLook(request);
    const { kind } = bodyOf(formParams, request.params);
    const { bed: bedId = null } = bodyOf(formQuery, request.query);
    const spec = actionNamed(kind);
    if (spec === null) {
      const known = ACTIONS.map((one) => one.kind).join(', ');
      throw new Refused(404, 'not_found', {
        key: 'page_refused.no_such_form',
        values: { got: kind, known },
      });
    }
    const reader = pageReader(config, request);
    const context = await viewContext(reader);
    const bed = bedId === null ? null : readBedView(context, bedId);
    const facts = formFacts(readToday(context), { bedId, signs: bed?.stage.signs ?? [] });
    return formView(spec, facts, { ...reader, units: config.units });
  });

  app.post('/api/preview', async (request): Promise<PreviewView> => {
    // A watcher may think aloud: a preview keeps nothing.
    guard.mustLook(request);
    const startedMs = performance.now();
    const { change, who } = bodyOf(changeBodySchema, request.body);
    const person = guard.personOf(request)?.name;
    const view = await reckoner.ask(
      'preview',
      {
        nowMs: now(),
        change,
        who: person ?? (who || sayToPage(request)('someone')),
        language: languageOf(request),
        place: 'page',
      },
      person ?? request.ip,
    );
    return { ...view, tookMs: Math.round(performance.now() - startedMs) };
  });

  app.post('/api/change', async (request): Promise<ChangeView> => {
    const { change, who } = bodyOf(changeBodySchema, request.body);
    const name = guard.mustAct(request, who);
    const reader = pageReader(config, request);
    return inTurn(async () => {
      const context = { db, config, weather, nowMs: now() };
      const action = actionOf(context, change, name);
      if (actionNamed(change.kind)?.isPlanned === false) {
        const lines = keepAction(context, action).map((told) => sayTold(told, reader));
        return { lines, plan: null, changes: [] };
      }
      const { lines, before, stored } = await keepAndPlan(context, action, {
        workOut: () => reckoner.ask('plan', { nowMs: context.nowMs, lift: action.lift }),
        reader,
      });
      const given = { fromMs: context.nowMs, reader };
      return {
        lines,
        plan: stored === null ? null : { revision: stored.plan.revision, digest: stored.digest },
        changes:
          stored === null || before === null ? [] : changeLines(before.plan, stored.plan, given),
      };
    });
  });
}

/** Looks that wait for those before them. */
const MAX_WAITING_LOOKS = 16;

/** What a look may say; the bounds are those of the command line. */
const lookSchema = z.strictObject({
  bedId: z.string().min(1).max(64),
  surface: z.enum(SURFACES).nullable().default(null),
  coverFraction: z.number().min(0).max(1).nullable().default(null),
  leafMm: z.number().min(0).max(500).nullable().default(null),
  probeFraction: z.number().min(0).max(0.7).nullable().default(null),
  probeDepthMm: z.number().min(1).max(1000).nullable().default(null),
  note: z.string().trim().max(500).nullable().default(null),
  who: z.string().trim().max(60).optional(),
});

/** A look from the page: kept as it is, and taught from; the next plan starts from it. */
export function lookRoutes(app: FastifyInstance, parts: WebParts, guard: Guard): void {
  const { db, config, weather, now, reckoner = reckonerHere(parts) } = parts;
  const inTurn = oneAfterAnother(MAX_WAITING_LOOKS);

  app.post('/api/look', async (request): Promise<LookDoneView> => {
    const { who: given, ...body } = bodyOf(lookSchema, request.body);
    const who = guard.mustAct(request, given);
    const reader = pageReader(config, request);
    const say = sayTo(reader);
    const { bedId, note, ...seen } = body;
    const hasProbe = seen.probeFraction !== null;
    if (hasProbe !== (seen.probeDepthMm !== null)) {
      throw new Refused(400, 'bad_request', { key: 'look.probe_needs_depth' });
    }
    if (note === null && Object.values(seen).every((one) => one === null)) {
      throw new Refused(400, 'bad_request', { key: 'look.nothing_seen' });
    }
    return inTurn(async () => {
      const nowMs = now();
      const bed = knownBed(config.site, bedId);
      const look = { ...seen, bedId, note, rootMm: null, photo: null, seenMs: nowMs };
      const what = `${bed.name}: ${saySeen(look, { ...reader, language: 'en' })} at ${config.clock.isoOf(nowMs)}`;
      const effect = await logLook(
        { db, config, weather, nowMs },
        look,
        { who, what },
        {
          beforeLook: (seen) => reckoner.ask('beforeLook', { nowMs, seen }),
          bedStanding: (id) => reckoner.ask('bedStanding', { nowMs, bedId: id }),
        },
      );
      return {
        lookId: effect.look.lookId,
        lines: [
          say('look.logged', {
            bed: bed.name,
            at: config.clock.timeOf(nowMs),
            seen: saySeen(look, reader),
            who,
          }),
          ...sayEffect(effect, { reader, nowMs, bed: bed.name }),
        ],
      };
    });
  });
}
