import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { changesSince } from '../../acts/changes-since.ts';
import { confirm } from '../../acts/confirm.ts';
import { bedsToHold, hold, sayHeld } from '../../acts/hold.ts';
import { sayUnwritten } from '../../delivery/stop-without-store.ts';
import type { UnwrittenHold } from '../../delivery/unwritten-holds.ts';
import { Refused } from '../refused.ts';
import type { Guard } from '../safety/guard.ts';
import type { ApiError, ConfirmView, HoldDoneView } from '../views/change-view.ts';
import type { WebParts } from '../web-parts.ts';
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

  app.post('/api/confirm', async (request): Promise<ConfirmView> => {
    const body = bodyOf(confirmSchema, request.body);
    const who = guard.mustAct(request, 'change', body.who);
    const result = confirm({ db, config, nowMs: now() }, { ...body, who });
    if (result.ok) {
      const { line, missed, orderId } = result;
      return { line, missed, orderId };
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
    const { beds, strangersLine } = bedsToHold(config.site, body.beds);
    if (beds.length === 0) throw new Refused(400, 'no_such_bed', `beds: ${strangersLine}`);
    const { untilMs } = body;
    const asked = { who, why, beds, untilMs };
    const nowMs = now();
    let done: HoldDoneView;
    try {
      done = hold({ db, config, nowMs }, asked);
    } catch (fault) {
      if (parts.stopUnwritten === undefined) throw fault;
      parts.onFault?.(fault);
      const unwritten: UnwrittenHold = { ...asked, atMs: nowMs };
      const answers = await parts.stopUnwritten(unwritten);
      // To stop makes room on a full disk: the store may have taken it meanwhile, and sends it itself.
      if (unwritten.written === undefined) {
        throw new Refused(503, 'hold_unwritten', sayUnwritten(fault, answers, 'daemon'));
      }
      done = { line: sayHeld(beds), ...unwritten.written };
    }
    const line = strangersLine === '' ? done.line : `${done.line} Of the others: ${strangersLine}.`;
    return { ...done, line };
  });
}

/** The newest plan, and what it changes against the revision that a person has read. */
function whatChanged({ db, config, now }: WebParts, revision: number): Partial<ApiError> {
  const { newest, changes } = changesSince({ db, config, nowMs: now() }, revision);
  if (newest === null) return {};
  const about = { newest: { revision: newest.plan.revision, digest: newest.digest } };
  return changes === null ? about : { ...about, changes };
}
