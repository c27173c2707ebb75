import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { display } from '../../../adapters/display-units.ts';
import { SURFACES } from '../../../calc/looks/seen.ts';
import { knownBed } from '../../actions/action-context.ts';
import { logLook } from '../../actions/look.ts';
import { oneAfterAnother } from '../../actions/one-after-another.ts';
import { reckonerHere } from '../../reckoner/reckoner-here.ts';
import { sayEffect } from '../../words/look-effect-lines.ts';
import { saySeen } from '../../words/look-lines.ts';
import { Refused } from '../refused.ts';
import type { Guard } from '../safety/guard.ts';
import type { LookDoneView } from '../views/look-view.ts';
import type { WebParts } from '../web-parts.ts';
import { bodyOf } from './body.ts';

/** Looks that wait for those before them. */
const MOST_LOOKS = 16;

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
  const inTurn = oneAfterAnother(MOST_LOOKS);

  app.post('/api/look', async (request): Promise<LookDoneView> => {
    const { who: given, ...body } = bodyOf(lookSchema, request.body);
    const who = guard.mustAct(request, 'change', given);
    const { bedId, note, ...seen } = body;
    const hasProbe = seen.probeFraction !== null;
    if (hasProbe !== (seen.probeDepthMm !== null)) {
      throw new Refused(
        400,
        'bad_request',
        'probe: goes with its depth; give the reading and its depth',
      );
    }
    if (note === null && Object.values(seen).every((one) => one === null)) {
      throw new Refused(400, 'bad_request', 'look: nothing was seen; say what you saw');
    }
    return inTurn(async () => {
      const nowMs = now();
      const bed = knownBed(config.site, bedId);
      const show = display(config.units);
      const look = { ...seen, bedId, note, rootMm: null, photo: null, seenMs: nowMs };
      const words = saySeen(look, show);
      const what = `${bed.name}: ${words} at ${config.clock.isoOf(nowMs)}`;
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
          `${bed.name} at ${config.clock.timeOf(nowMs)}: ${words}. Logged by ${who}.`,
          ...sayEffect(effect, { clock: config.clock, show, nowMs }),
        ],
      };
    });
  });
}
