import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { bedsToHold } from '../../actions/beds-to-hold.ts';
import { changesSince } from '../../actions/changes-since.ts';
import { confirm } from '../../actions/confirm.ts';
import { hold } from '../../actions/hold.ts';
import type { AskedStop } from '../../delivery/stop-desk.ts';
import { sayStop } from '../../words/say-stop.ts';
import { Refused } from '../refused.ts';
import type { Guard } from '../safety/guard.ts';
import type { ApiError, ConfirmView, HoldDoneView } from '../views/change-view.ts';
import type { StopDone, WebParts } from '../web-parts.ts';
import { bodyOf } from './body.ts';

const whoSchema = z.string().trim().max(60).optional();
const bedsSchema = z.union(
  [z.literal('all'), z.array(z.string().min(1).max(64)).min(1).max(2000)],
  {
    error: 'is missing; name the beds, or write all',
  },
);
const confirmSchema = z.strictObject({
  revision: z.int().min(1),
  digest: z.string().regex(/^[0-9a-fA-F]{8,64}$/),
  who: whoSchema,
  cautions: z.array(z.string().max(64)).max(20),
});
const holdSchema = z.strictObject({
  beds: bedsSchema,
  why: z.string().trim().max(200).default(''),
  untilMs: z.int().nullable().default(null),
  who: whoSchema,
});

/** Confirm and hold: what lets water out, and what stops it. */
export function decideRoutes(app: FastifyInstance, parts: WebParts, guard: Guard): void {
  const { db, config, now } = parts;
  const stopWater =
    parts.stopWater ??
    (async (asked: AskedStop): Promise<StopDone> => {
      const written = hold({ db, config, nowMs: asked.atMs }, asked);
      const words = sayStop({ ...asked, stoppedAt: [], unwritten: null, keeper: 'daemon' });
      return { words, written };
    });

  app.post('/api/confirm', async (request): Promise<ConfirmView> => {
    const body = bodyOf(confirmSchema, request.body);
    const who = guard.mustAct(request, 'change', body.who);
    const result = confirm({ db, config, nowMs: now() }, { ...body, who });
    if (result.ok) {
      const { line, onItsWay, missed, orderId } = result;
      return { line, onItsWay, missed, orderId };
    }
    const { refusal } = result;
    throw new Refused(
      409,
      refusal.code,
      `not confirmed: ${refusal.text}`,
      whatChanged(parts, body.revision),
    );
  });

  app.post('/api/hold', async (request): Promise<HoldDoneView> => {
    const body = bodyOf(holdSchema, request.body);
    // Stopping water is never refused for want of a name.
    const given = body.who === undefined || body.who === '' ? 'someone at the page' : body.who;
    const who = guard.mustAct(request, 'hold', given);
    const why = body.why === '' ? 'no reason given' : body.why;
    const { beds, strangersLine } = bedsToHold(
      config.site.beds.map(({ id }) => id),
      body.beds,
    );
    if (beds.length === 0) throw new Refused(400, 'no_such_bed', `beds: ${strangersLine}`);
    const asked: AskedStop = { who, why, beds, untilMs: body.untilMs, atMs: now() };
    return holdView(await stopWater(asked), strangersLine);
  });
}

/**
 * The answer to a hold that was put on.
 * @throws Refused where it did not reach every output, or the store does not have it.
 */
export function holdView({ words, written }: StopDone, strangersLine: string): HoldDoneView {
  const { line: said, outputs } = words;
  const line = strangersLine === '' ? said : `${said} Of the others: ${strangersLine}.`;
  if (words.isWell && written !== null) {
    const { holdId, orderId } = written;
    return { line, outputs, holdId, orderId };
  }
  const code = words.isStopped ? 'hold_unwritten' : 'not_stopped';
  throw new Refused(503, code, [line, ...outputs].join('\n'));
}

/** The newest plan, and what it changes against the revision that a person has read. */
function whatChanged({ db, config, now }: WebParts, revision: number): Partial<ApiError> {
  const { newest, changes } = changesSince({ db, config, nowMs: now() }, revision);
  if (newest === null) return {};
  const about = { newest: { revision: newest.plan.revision, digest: newest.digest } };
  return changes === null ? about : { ...about, changes };
}
